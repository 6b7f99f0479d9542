// Small corpora for the tests of the indexer: whole pages of each kind, as short as the schema lets them be.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <string>
#include <utility>
#include <vector>

#include "indexer/checks.h"
#include "indexer/corpus.h"
#include "indexer/problem.h"
#include "indexer/schema.h"
#include "tests/unit/house_style_for_tests.h"

// A whole page without a fault. `front` holds lines of front matter beside those that every kind has.
inline std::string small_page(const std::string& kind, const std::string& id, const std::string& front = {}) {
  const indexer::Kind* known = indexer::kind_by_name(kind);
  REQUIRE(known != nullptr);
  std::string out = "---\nid: " + id + "\nkind: " + kind + "\ntitle: Page " + id + "\nnames: [" + id + "]\nheard-as: []\n" + front +
                    "sources: [{cite: A book, backs: [names], status: from memory}]\nreviewed: 2026-11-25\n---\n";
  for (const std::string& heading : known->sections) out += "\n## " + heading + "\nSeen from where you stand.\n";
  return out;
}

// The same of a material: its systems and rules, the years of its use, and all that a material must have.
inline std::string small_material(const std::string& id, const std::string& systems, const std::string& rules, const std::string& years) {
  return small_page("material", id,
                    "systems: [" + systems + "]\nplaces: [basement]\nyears: {" + years + ", soft-end: Stock was used after that.}\n"
                    "asbestos: {percent: [6, 15], minerals: [chrysotile]}\nfriability: friable\nus-class: friable\nunstated: evaluate\n"
                    "seen-as: {all-of: [[" + id + "]]}\nmistaken-for: [lint-lookalike]\nlook-also: []\ncautions: [lint-caution]\n"
                    "rules: [" + rules + "]\n");
}

inline indexer::SourceFile source(const std::string& folder, const std::string& relative, const std::string& bytes) {
  return {folder + "/" + relative, relative, bytes};
}

// `files` in the folder "a", and beside them what links of the lint pages lead to: a small page of each
// kind that they name, where `files` holds none at its place.
inline indexer::SourceFolder base_folder(std::vector<indexer::SourceFile> files) {
  const std::pair<const char*, std::string> others[] = {
      {"corpus.yaml", "version: \"1\"\n"},
      {"vocabulary/wording.yaml", "variants: {Damaged: damaged}\n"},
      {"vocabulary/house-style.yaml", relaxed_house_style()},
      {"materials/lint-material.md", small_material("lint-material", "lint-system", "lint-rule", "from: 1920, to: 1978")},
      {"materials/lint-other.md", small_material("lint-other", "lint-system", "lint-rule", "from: 1920, to: 1978")},
      {"systems/lint-system.md", small_page("system", "lint-system", "look-also: [lint-material, lint-other]\n")},
      {"eras/lint-era.md", small_page("era", "lint-era", "years: {from: 1940, to: 1959, soft-end: Styles went on.}\nlook-also: [lint-material, lint-other]\n")},
      {"cautions/lint-caution.md", small_page("caution", "lint-caution")},
      {"rules/lint-rule.md", small_page("rule", "lint-rule")},
      {"basics/lint-basics.md", small_page("basics", "lint-basics")},
      {"lookalikes/lint-lookalike.md", small_page("lookalike", "lint-lookalike")},
  };
  indexer::SourceFolder folder{"a", std::move(files)};
  const std::size_t given = folder.files.size();
  for (const auto& other : others) {
    const std::string relative = other.first;
    const auto end = folder.files.begin() + static_cast<std::ptrdiff_t>(given);
    if (std::none_of(folder.files.begin(), end, [&](const auto& file) { return file.relative == relative; }))
      folder.files.push_back(source("a", relative, other.second));
  }
  return folder;
}

inline std::vector<indexer::Problem> problems_of(const indexer::Sources& sources) {
  indexer::Problems problems;
  const indexer::Corpus corpus = indexer::assemble(sources, problems);
  kb::Lexicon lexicon(indexer::word_rules(corpus), {});
  indexer::check_corpus(corpus, lexicon, problems);
  return problems.sorted();
}

// As letbe-index prints them.
inline std::string report(const std::vector<indexer::Problem>& problems) {
  std::string out;
  for (const indexer::Problem& problem : problems) out += indexer::to_line(problem) + "\n";
  return out;
}

inline std::string bytes_of_test_file(const std::string& relative) {
  std::ifstream file(LETBE_SOURCE_DIR "/tests/" + relative, std::ios::binary);
  REQUIRE_MESSAGE(file, "missing: tests/", relative);
  return {std::istreambuf_iterator<char>(file), {}};
}

// A page without a fault, from tests/lint.
inline std::string good_page(const std::string& rule) { return bytes_of_test_file("lint/" + rule + "-good.md"); }

inline std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE_MESSAGE(at != std::string::npos, "not in the page: ", from);
  return text.replace(at, from.size(), to);
}
