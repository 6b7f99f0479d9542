#include "indexer/checks.h"

#include <algorithm>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include "indexer/house_style.h"
#include "indexer/page_limits.h"
#include "indexer/repeated_runs.h"
#include "indexer/value_checks.h"
#include "indexer/wording_lint.h"
#include "kb/text.h"

namespace indexer {
namespace {

std::vector<std::string> planned_ids(const Corpus& corpus) {
  std::vector<std::string> ids;
  for (const auto& [id, planned] : corpus.plan) ids.push_back(id);
  return ids;
}

std::string words_of(int count) { return std::to_string(count) + " words"; }

// Checks one page against the rest.
class PageChecks {
 public:
  PageChecks(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems)
      : corpus_(corpus), lexicon_(lexicon), problems_(problems), ids_(planned_ids(corpus)) {
    const auto wording = corpus.vocabulary.find("wording");
    if (wording == corpus.vocabulary.end()) return;
    if (const Value* variants = wording->second.find("variants"))
      for (const Member& member : variants->members) variants_.push_back(member.key);
  }

  void run(const Page& page) {
    check_planned(page);
    check_links(page);
    check_own_names(page);
    check_backs(page);
    if (page.kind->report_words > 0) check_wording(page);
  }

 private:
  void check_planned(const Page& page) {
    const Value* id = page.front.find("id");
    const Place place = id != nullptr ? id->place : Place{page.end.file, 1};
    const auto planned = corpus_.plan.find(page.id);
    // A name and an id that differ have been reported; the id is then the one to believe.
    if (id != nullptr && id->text != page.id) return;
    if (planned == corpus_.plan.end()) {
      problems_.add(
          Rule::id_not_planned, place,
          "id '" + page.id + "' is not planned" + or_nearest(page.id, ids_, "add it to plan.tsv"));
    } else if (planned->second.kind != page.kind->name) {
      problems_.add(Rule::id_not_planned, place,
                    "'" + page.id + "' is planned as " + planned->second.kind +
                        "; move it to that folder, or correct plan.tsv");
    }
  }

  void check_links(const Page& page) {
    for (const Link& link : links_of(page.front)) {
      const auto target = corpus_.plan.find(link.target);
      const std::string& kind = key_by_name(link.role)->link_kind;
      if (target == corpus_.plan.end()) {
        report_unknown(link.target, link.place);
      } else if (!kind.empty() && target->second.kind != kind) {
        problems_.add(Rule::wrong_kind_of_link, link.place,
                      "'" + link.target + "' is a " + target->second.kind + "; '" + link.role +
                          "' takes a " + kind + ", put it under look-also");
      }
    }
    for (const Section& section : page.sections)
      for (const Mention& mention : section.mentions)
        if (!corpus_.plan.contains(mention.target)) report_unknown(mention.target, mention.place);
  }

  void report_unknown(const std::string& id, Place place) {
    problems_.add(Rule::unknown_article, place,
                  "unknown article '" + id + "'" + or_nearest(id, ids_, "plan.tsv lists them"));
  }

  void check_own_names(const Page& page) {
    std::map<std::string, std::string> seen;
    for (const char* key : {"names", "heard-as"})
      for (const Text& name : texts_under(page.front, key)) {
        const std::string compared = name_key(name.text, lexicon_);
        if (compared.empty()) continue;
        const auto [place, fresh] = seen.try_emplace(compared, name.text);
        if (fresh) continue;
        problems_.add(Rule::repeated_entry, name.place,
                      "name '" + name.text + "' says the same as '" + place->second +
                          "' before it; keep one (endings and hyphens do not count)");
      }
  }

  void check_backs(const Page& page) {
    std::vector<std::string> known;
    for (const Member& member : page.front.members) known.push_back(member.key);
    for (const Section& section : page.sections) known.push_back(section.heading);
    known.emplace_back("length");  // The reason for a page's length; see page_limits.h.
    const Value* sources = page.front.find("sources");
    if (sources == nullptr) return;
    for (const Value& source : sources->items)
      for (const Text& name : texts_under(source, "backs"))
        if (std::find(known.begin(), known.end(), name.text) == known.end())
          problems_.add(Rule::unknown_backing, name.place,
                        "'" + name.text + "' is neither a key nor a section of this page" +
                            or_nearest(name.text, known, "name what the source backs"));
  }

  void check_wording(const Page& page) {
    bool inside = false;
    for (const Section& section : page.sections) {
      if (section.level == 2) inside = section.heading == kReportWording;
      if (!inside) continue;
      check_paragraph(section, section.level == 2 ? page.kind->report_words : kVariantWords);
      if (section.level == 3) check_variant(section);
    }
  }

  void check_paragraph(const Section& section, int most) {
    if (section.body.empty()) return;
    if (!section.plain)
      problems_.add(Rule::not_plain_wording, section.place,
                    "'" + section.heading +
                        "' is not one paragraph of plain text; it is pasted into "
                        "reports, so write one paragraph without lists, emphasis or links");
    if (const int count = kb::count_words(section.body); count > most)
      problems_.add(
          Rule::long_wording, section.place,
          "'" + section.heading + "' has " + words_of(count) + "; at most " + words_of(most));
  }

  void check_variant(const Section& section) {
    if (variants_.empty()) return;
    if (std::find(variants_.begin(), variants_.end(), section.heading) != variants_.end()) return;
    problems_.add(Rule::unknown_variant, section.place,
                  "unknown variant '" + section.heading + "'" +
                      or_nearest(section.heading, variants_, "there are " + joined(variants_)));
  }

  const Corpus& corpus_;
  kb::Lexicon& lexicon_;
  Problems& problems_;
  std::vector<std::string> ids_;
  std::vector<std::string> variants_;
};

// Checks vocabulary/shared-names.yaml, and every name against it.
class NameChecks {
 public:
  NameChecks(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems)
      : corpus_(corpus), lexicon_(lexicon), problems_(problems) {}

  void run() {
    if (const auto file = corpus_.vocabulary.find("shared-names"); file != corpus_.vocabulary.end())
      check_file(file->second);
    for (const SharedName& shared : shared_names(corpus_)) take_shared(shared);
    for (const Page& page : corpus_.pages)
      for (const char* key : {"names", "heard-as"})
        for (const Text& name : texts_under(page.front, key)) check_name(page, name);
  }

 private:
  struct Owner {
    std::string id;
    Place place;
  };

  void fault(Place place, const std::string& message) {
    problems_.add(Rule::faulty_vocabulary, place, message);
  }

  void check_file(const Value& file) {
    if (!file.is_list())
      return fault(file.place, "no list; write '- name: ...' with ids and default");
    ValueChecks checks(problems_);
    for (const Value& entry : file.items)
      if (checks.map("shared name", entry, {"name", "ids", "default"}, {"decide"}))
        check_entry(entry, checks);
  }

  void check_entry(const Value& entry, ValueChecks& checks) {
    if (const Value* name = entry.find("name")) checks.text("name", *name);
    const Value* ids = entry.find("ids");
    if (ids == nullptr || !checks.texts("ids", *ids, true)) return;
    std::vector<std::string> listed;
    for (const Text& id : texts_under(entry, "ids")) {
      listed.push_back(id.text);
      if (!corpus_.plan.contains(id.text))
        problems_.add(Rule::unknown_article, id.place,
                      "unknown article '" + id.text + "'" +
                          or_nearest(id.text, planned_ids(corpus_), "plan.tsv lists them"));
    }
    const auto must_be_listed = [&](const std::string& id, Place place, const std::string& what) {
      if (std::find(listed.begin(), listed.end(), id) == listed.end())
        fault(place, what + " '" + id + "' is not among the ids; it is one of " + joined(listed));
    };
    if (const Value* fallback = entry.find("default"); fallback != nullptr)
      must_be_listed(fallback->text, fallback->place, "default");
    const Value* decide = entry.find("decide");
    if (decide == nullptr) return;
    if (!decide->is_map())
      return fault(decide->place, "'decide' is no mapping; write {id: [words]}");
    for (const Member& member : decide->members) {
      must_be_listed(member.key, member.place, "'decide' for");
      checks.texts("decide", member.value, true);
    }
  }

  void take_shared(const SharedName& shared) {
    const std::string key = name_key(shared.name, lexicon_);
    if (key.empty()) return fault(shared.place, "a shared name without a word; write the name");
    if (!shared_.try_emplace(key, shared.ids).second)
      fault(shared.place,
            "the shared name '" + shared.name + "' stands twice; make the entries one");
  }

  void check_name(const Page& page, const Text& name) {
    const std::string key = name_key(name.text, lexicon_);
    if (key.empty()) return;
    if (const auto shared = shared_.find(key); shared != shared_.end()) {
      if (std::find(shared->second.begin(), shared->second.end(), page.id) == shared->second.end())
        problems_.add(Rule::shared_name, name.place,
                      "name '" + name.text + "' belongs to " + joined(shared->second) +
                          " in shared-names.yaml; add '" + page.id +
                          "' there, or choose another name");
      return;
    }
    const auto [owner, fresh] = owners_.try_emplace(key, Owner{page.id, name.place});
    if (fresh || owner->second.id == page.id) return;
    problems_.add(
        Rule::shared_name, name.place,
        "name '" + name.text + "' is a name of '" + owner->second.id +
            "' too; keep it in one article, or write an entry in vocabulary/shared-names.yaml");
  }

  const Corpus& corpus_;
  kb::Lexicon& lexicon_;
  Problems& problems_;
  std::map<std::string, std::vector<std::string>> shared_;
  std::map<std::string, Owner> owners_;
};

void check_string_map(const std::string& name, const Value& value, Problems& problems) {
  const bool usable =
      value.is_map() && std::all_of(value.members.begin(), value.members.end(),
                                    [](const Member& member) { return member.value.is_text(); });
  if (!usable)
    problems.add(Rule::faulty_vocabulary, value.place,
                 "'" + name + "' is no mapping; write 'word: other word'");
}

void check_words_file(const Corpus& corpus, Problems& problems) {
  const auto file = corpus.vocabulary.find("words");
  if (file == corpus.vocabulary.end()) return;
  ValueChecks checks(problems);
  if (!checks.map("words.yaml", file->second, {},
                  {"same", "abbreviations", "spoken", "negating-prefixes", "whole", "quiet"}))
    return;
  for (const char* key : {"same", "spoken"})
    if (const Value* map = file->second.find(key)) check_string_map(key, *map, problems);
  for (const char* key : {"abbreviations", "negating-prefixes", "whole", "quiet"})
    if (const Value* list = file->second.find(key)) checks.texts(key, *list, false);
}

}  // namespace

void check_corpus(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems) {
  check_words_file(corpus, problems);
  const HouseStyle style = house_style(corpus, problems);
  PageChecks pages(corpus, lexicon, problems);
  WordingLint wording(style, problems);
  for (const Page& page : corpus.pages) {
    pages.run(page);
    check_limits(page, style, problems);
    wording.run(page);
  }
  if (const auto fixed = corpus.vocabulary.find("wording"); fixed != corpus.vocabulary.end())
    for (const char* key : {"sentences", "advice"})
      if (const Value* sentences = fixed->second.find(key)) wording.run(*sentences);
  wording.finish();
  check_repeated_runs(corpus, style, problems);
  NameChecks(corpus, lexicon, problems).run();
}

std::string name_key(std::string_view name, kb::Lexicon& lexicon) {
  std::string key;
  for (const kb::Token& token : kb::read_tokens(name, lexicon)) {
    if (token.word == nullptr) continue;
    if (!key.empty()) key += ' ';
    key += lexicon.stem_of(token.word->folded);
  }
  return key;
}

Unwritten count_unwritten(const Corpus& corpus) {
  std::set<std::string> written;
  for (const Page& page : corpus.pages) written.insert(page.id);
  Unwritten count;
  for (const auto& [id, planned] : corpus.plan) count.pages += written.contains(id) ? 0 : 1;
  for (const Page& page : corpus.pages)
    for (const Link& link : links_of(page.front))
      count.links += written.contains(link.target) ? 0 : 1;
  return count;
}

}  // namespace indexer
