// What takes more than one file: shared names, ids, the vocabulary, a firm's own folder.
#include <doctest/doctest.h>

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "indexer/checks.h"
#include "indexer/corpus.h"
#include "indexer/problem.h"
#include "tests/unit/pages_for_tests.h"

namespace {

std::vector<indexer::Page> pages_of(const indexer::Corpus& corpus, indexer::Problems& problems) {
  std::vector<indexer::Page> out;
  indexer::PageReader reader(corpus, problems);
  while (auto page = reader.next()) out.push_back(std::move(*page));
  return out;
}

}  // namespace

TEST_CASE("a name in two articles needs an entry in shared-names.yaml") {
  const std::string page = good_page("KB005");
  const std::string other = replaced(replaced(page, "id: lint-material", "id: lint-other"),
                                     "names: [gray pipe cover]", "names: [Gray pipe-covers]");
  const auto found = [&](const std::string& shared) {
    return report(problems_of({base_folder({
        source("a", "materials/lint-material.md", page),
        source("a", "materials/lint-other.md", replaced(other, "[gray pie cover]", "[]")),
        source("a", "vocabulary/shared-names.yaml", shared),
    })}));
  };
  CHECK(found("[]\n") ==
        "a/materials/lint-other.md:6: name 'Gray pipe-covers' is a name of 'lint-material' too; "
        "keep it in "
        "one article, or write an entry in vocabulary/shared-names.yaml [KB016]\n");
  CHECK(found("- {name: gray pipe cover, ids: [lint-material, lint-other], default: lint-other}\n")
            .empty());
  CHECK(found("- {name: gray pipe cover, ids: [lint-material], default: lint-material}\n") ==
        "a/materials/lint-other.md:6: name 'Gray pipe-covers' belongs to lint-material in "
        "shared-names.yaml; add 'lint-other' there, or choose another name [KB016]\n");
  CHECK(
      found("- name: gray pipe cover\n  ids: [lint-material, lint-othr]\n  default: lint-other\n"
            "  decide: {lint-rule: [dark]}\n") ==
      "a/materials/lint-other.md:6: name 'Gray pipe-covers' belongs to lint-material, lint-othr in "
      "shared-names.yaml; add 'lint-other' there, or choose another name [KB016]\n"
      "a/vocabulary/shared-names.yaml:2: unknown article 'lint-othr'; did you mean 'lint-other'? "
      "[KB012]\n"
      "a/vocabulary/shared-names.yaml:3: default 'lint-other' is not among the ids; it is one of "
      "lint-material, lint-othr [KB030]\n"
      "a/vocabulary/shared-names.yaml:4: 'decide' for 'lint-rule' is not among the ids; it is one "
      "of "
      "lint-material, lint-othr [KB030]\n");
}

TEST_CASE("faults of the files beside the pages are told with their lines") {
  const auto found = [](const std::string& relative, const std::string& bytes) {
    indexer::SourceFolder folder = base_folder({});
    std::erase_if(folder.files, [&](const auto& file) { return file.relative == relative; });
    folder.files.push_back(source("a", relative, bytes));
    return report(problems_of({folder}));
  };
  CHECK(found("corpus.yaml", "vershun: 1\n") ==
        "a/corpus.yaml:1: unknown key 'vershun' under 'corpus.yaml'; did you mean 'version'? "
        "[KB001]\n");
  CHECK(
      found("vocabulary/words.yaml", "same: {a: b}\nspoken: [x]\nnegatingprefixes: [un]\n") ==
      "a/vocabulary/words.yaml:2: 'spoken' is no mapping; write 'word: other word' [KB030]\n"
      "a/vocabulary/words.yaml:3: unknown key 'negatingprefixes' under 'words.yaml'; did you mean "
      "'negating-prefixes'? [KB001]\n");
  CHECK(found("vocabulary/denial.yaml", "before: [a, ~]\nbefore: [b]\n") ==
        "a/vocabulary/denial.yaml:1: an empty value; write it, quote it (\"\", \"null\"), or take "
        "the "
        "entry out [KB030]\n"
        "a/vocabulary/denial.yaml:2: repeated key 'before', first on line 1; keep one of them "
        "[KB002]\n");
  CHECK(report(problems_of({{"a", {}}})) ==
        "a/corpus.yaml:1: missing file; it holds the line 'version: \"2026.11\"' [KB030]\n"
        "a/vocabulary/house-style.yaml:1: missing file; it holds what pages may and may not say "
        "[KB030]\n");
}

TEST_CASE("a later folder overrides section by section") {
  const std::string patch =
      "---\nid: lint-material\nkind: material\ntitle: Our pipe cover\nbase: {Report wording: 67ba3548}\n---\n"
      "## Report wording\nOur own words.\n\n### Damaged\nTorn, we say.\n";
  const auto with = [&](const std::string& over) {
    return indexer::Sources{
        base_folder({source("a", "materials/lint-material.md", good_page("KB005"))}),
        {"b", {source("b", "materials/lint-material.md", over)}}};
  };
  const indexer::Sources sources = with(patch);
  CHECK(report(problems_of(sources)).empty());
  indexer::Problems problems;
  const indexer::Corpus corpus = indexer::assemble(sources, problems);
  const std::vector<indexer::Page> pages = pages_of(corpus, problems);
  REQUIRE(!pages.empty());
  const indexer::Page& page = pages[0];
  CHECK(page.id == "lint-material");
  CHECK(indexer::text_under(page.front, "title") == "Our pipe cover");
  CHECK(indexer::texts_under(page.front, "names").size() == 1);
  REQUIRE(page.sections.size() == 9);
  CHECK(page.sections[5].body == "Our own words.");
  CHECK(page.sections[6].body == "Torn, we say.");
  CHECK(page.sections[7].heading == "For the homeowner");
  // Faults are told in the file that has them.
  CHECK(report(problems_of(with(replaced(patch, "### Damaged", "### Demaged")))) ==
        "b/materials/lint-material.md:10: unknown variant 'Demaged'; did you mean 'Damaged'? "
        "[KB026]\n");
  CHECK(report(problems_of(with(replaced(replaced(patch, "## Report wording", "## Report words"), "base: {Report wording: 67ba3548}\n", "")))) ==
        "b/materials/lint-material.md:6: unknown section 'Report words'; did you mean 'Report "
        "wording'? "
        "[KB010]\n");
}

TEST_CASE("an override says which text it replaces and is told when that text has changed") {
  const auto found = [](const std::string& base, const std::string& page) {
    const std::string patch = "---\nid: lint-material\nkind: material\n" + base + "---\n## Report wording\nOur own words.\n";
    return report(problems_of({base_folder({source("a", "materials/lint-material.md", page)}), {"b", {source("b", "materials/lint-material.md", patch)}}}));
  };
  const std::string page = good_page("KB005");
  CHECK(found("base: {Report wording: 67ba3548}\n", page).empty());
  CHECK(found("", page) ==
        "b/materials/lint-material.md:1: 'Report wording' replaces letbe's text and does not say which; write base: {Report wording: 67ba3548} [KB044]\n");
  // A changed variant is a changed section.
  const std::string changed = replaced(page, "\n### ", "\nIt was changed since.\n\n### ");
  const std::string stale = found("base: {Report wording: 67ba3548}\n", changed);
  CHECK(stale.find("b/materials/lint-material.md:4: letbe's 'Report wording' has changed since this was written for 67ba3548; read it again, then write ") == 0);
  CHECK(found("base: {Report wording: 67ba3548, Look also: 67ba3548}\n", page) ==
        "b/materials/lint-material.md:4: 'base' names 'Look also', which this page does not replace; take it out [KB044]\n");
  CHECK(found("base: {Report wording: 67BA}\n", page).find("is not eight hex digits") != std::string::npos);
  CHECK(report(problems_of({base_folder({source("a", "materials/lint-material.md", replaced(page, "kind: material\n", "kind: material\nbase: {Look also: 67ba3548}\n"))})}))
            .find("'base' stands in a page that overrides none") != std::string::npos);
}

TEST_CASE("a later folder's vocabulary adds words and loses none, and some files are letbe's own") {
  const auto with = [&](const std::string& file, const std::string& text) {
    return indexer::Sources{base_folder({source("a", "vocabulary/conditions.yaml", "conditions:\n  - {id: damaged, caution: torn, cues: [torn]}\nrest: [rest]\n")}),
                            {"b", {source("b", "vocabulary/" + file, text)}}};
  };
  indexer::Problems problems;
  const indexer::Corpus corpus = indexer::assemble(with("conditions.yaml", "conditions:\n  - {id: damaged, cues: [torn, ragged]}\n  - {id: own, caution: ours, cues: [x]}\nall: [both]\n"), problems);
  CHECK(report(problems.sorted()).empty());
  const indexer::Value& merged = corpus.vocabulary.at("conditions");
  REQUIRE(merged.find("conditions")->items.size() == 2);
  const indexer::Value& damaged = merged.find("conditions")->items[0];
  CHECK(indexer::text_under(damaged, "caution") == "torn");
  CHECK(indexer::texts_under(damaged, "cues").size() == 2);
  CHECK(indexer::texts_under(merged, "rest").size() == 1);
  CHECK(indexer::texts_under(merged, "all").size() == 1);
  for (const char* file : {"house-style.yaml", "wording.yaml"}) {
    indexer::Problems refused;
    indexer::assemble(with(file, "comfort: []\n"), refused);
    CHECK(report(refused.sorted()).find("belongs to letbe's own articles") != std::string::npos);
  }
}

TEST_CASE("a page that only a later folder has must be whole, and may then be linked to") {
  const auto with = [](const std::string& page) {
    const std::string basics = small_page("basics", "lint-basics", "rules: [lint-new]\n");
    return problems_of({base_folder({source("a", "basics/lint-basics.md", basics)}), {"b", {source("b", "rules/lint-new.md", page)}}});
  };
  std::set<std::string> rules;
  for (const indexer::Problem& problem : with("---\nid: lint-new\nkind: rule\n---\n")) rules.insert(problem.rule);
  CHECK(rules == std::set<std::string>{"KB003", "KB009"});
  CHECK(report(with(small_page("rule", "lint-new"))).empty());
}

TEST_CASE("two pages of different kinds have different ids, and a link leads to a page that there is") {
  const std::string basics = small_page("basics", "lint-rule");
  CHECK(report(problems_of({base_folder({}), {"b", {source("b", "basics/lint-rule.md", basics)}}})) ==
        "b/basics/lint-rule.md:2: 'lint-rule' is the id of a page in 'rules' too; move this one there, or give it another id [KB008]\n");
  // The first folder's page is the one that stays, whatever the order of the kinds.
  const std::string material = small_material("lint-rule", "lint-system", "lint-rule", "from: 1920, to: 1978");
  CHECK(report(problems_of({base_folder({}), {"b", {source("b", "materials/lint-rule.md", material)}}})).find("b/materials/lint-rule.md:2: 'lint-rule' is the id of a page in 'rules' too") == 0);
  const auto linked = [](const std::string& front) {
    return report(problems_of({base_folder({source("a", "basics/lint-basics.md", small_page("basics", "lint-basics", front))})}));
  };
  CHECK(linked("rules: [lint-rule]\n").empty());
  CHECK(linked("rules: [lint-rul]\n") == "a/basics/lint-basics.md:7: unknown article 'lint-rul'; did you mean 'lint-rule'? [KB012]\n");
  CHECK(linked("rules: [something-else]\n") ==
        "a/basics/lint-basics.md:7: unknown article 'something-else'; link to a page that there is, or write this one first [KB012]\n");
  CHECK(linked("rules: [lint-era]\n") == "a/basics/lint-basics.md:7: 'lint-era' is of the kind 'era'; 'rules' takes a rule, put it under look-also [KB013]\n");
}

TEST_CASE("pages come in the order of their kinds and ids, each with the later folders' files over it") {
  const std::string page = good_page("KB005");
  const std::string other = replaced(replaced(replaced(page, "id: lint-material", "id: lint-other"),
                                              "names: [gray pipe cover]", "names: [fittings]"),
                                     "[gray pie cover]", "[]");
  const auto over = [](const std::string& id, const std::string& title) {
    return "---\nid: " + id + "\nkind: material\ntitle: " + title + "\n---\n";
  };
  const indexer::Sources sources{
      base_folder({source("a", "materials/lint-other.md", other),
                   source("a", "materials/lint-material.md", page)}),
      {"b", {source("b", "materials/lint-other.md", over("lint-other", "Second"))}},
      {"c", {source("c", "materials/lint-material.md", over("lint-material", "Third")),
             source("c", "materials/lint-other.md", over("lint-other", "Third"))}}};
  indexer::Problems problems;
  indexer::CorpusDigest digest;
  const indexer::Corpus corpus = indexer::assemble(sources, problems, &digest);
  kb::Lexicon lexicon(indexer::word_rules(corpus), {});
  std::string seen;
  const auto outcome = indexer::check_corpus(
      corpus, lexicon, problems,
      [&](const indexer::Page& one, const std::vector<indexer::NameKey>& names) {
        if (one.kind->name != "material") return;
        seen += one.id + "=" + indexer::text_under(one.front, "title") + "/" +
                std::to_string(one.sections.size()) + "/" + names.at(0).key + "; ";
      },
      &digest);
  CHECK(seen == "lint-material=Third/9/grai pipe cover; lint-other=Third/9/fit; ");
  CHECK(report(problems.sorted()) == "");
  CHECK(outcome.pages == 8);
  CHECK(outcome.page_files == 11);
  CHECK(digest.take().size() == 8);
}
