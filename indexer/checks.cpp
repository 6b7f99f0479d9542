#include "indexer/checks.h"

#include <algorithm>
#include <bit>
#include <map>
#include <unordered_map>
#include <utility>

#include "indexer/house_style.h"
#include "indexer/link_checks.h"
#include "indexer/page_limits.h"
#include "indexer/repeated_runs.h"
#include "indexer/timing.h"
#include "indexer/value_checks.h"
#include "indexer/wording_lint.h"
#include "kb/text.h"

namespace indexer {
namespace {

constexpr const char* kLinkToOthers = "link to a page that there is, or write this one first";

std::vector<std::string> ids_of(const Corpus& corpus) {
  std::vector<std::string> ids;
  for (const auto& [id, kind] : corpus.kinds) ids.emplace_back(id);
  return ids;
}

std::string words_of(int count) { return std::to_string(count) + " words"; }

// Checks one page against the rest.
class PageChecks {
 public:
  PageChecks(const Corpus& corpus, Problems& problems)
      : corpus_(corpus), problems_(problems) {
    const auto wording = corpus.vocabulary.find("wording");
    if (wording == corpus.vocabulary.end()) return;
    if (const Value* variants = wording->second.find("variants"))
      for (const Member& member : variants->members) variants_.push_back(member.key);
  }

  void run(const Page& page, const std::vector<NameKey>& names) {
    check_kind(page);
    check_links(page);
    check_own_names(names);
    check_backs(page);
    if (page.kind->report_words > 0) check_wording(page);
  }

 private:
  // One id, one page: links and readers know no folders.
  void check_kind(const Page& page) {
    const Kind* other = corpus_.kinds.at(page.id);
    if (other == page.kind) return;
    const Value* id = page.front.find("id");
    problems_.add(Rule::id_of_another_kind, id != nullptr ? id->place : Place{page.end.file, 1},
                  "'" + page.id + "' is the id of a page in '" + other->folder +
                      "' too; move this one there, or give it another id");
  }

  void check_links(const Page& page) {
    for (const Link& link : links_of(page.front)) {
      const auto target = corpus_.kinds.find(link.target);
      const std::string& kind = key_by_name(link.role)->link_kind;
      if (target == corpus_.kinds.end()) {
        report_unknown(link.target, link.place);
      } else if (!kind.empty() && target->second->name != kind) {
        problems_.add(Rule::wrong_kind_of_link, link.place,
                      "'" + link.target + "' is of the kind '" + target->second->name + "'; '" + link.role +
                          "' takes a " + kind + ", put it under look-also");
      }
    }
    for (const Section& section : page.sections)
      for (const Mention& mention : section.mentions)
        if (!corpus_.kinds.contains(mention.target)) report_unknown(mention.target, mention.place);
  }

  void report_unknown(const std::string& id, Place place) {
    problems_.add(Rule::unknown_article, place,
                  "unknown article '" + id + "'" + or_nearest(id, ids(), kLinkToOthers));
  }

  void check_own_names(const std::vector<NameKey>& names) {
    std::unordered_map<std::string_view, const Value*> seen;
    for (const NameKey& name : names) {
      if (name.key.empty()) continue;
      const auto [place, fresh] = seen.try_emplace(name.key, name.name);
      if (fresh) continue;
      problems_.add(Rule::repeated_entry, name.name->place,
                    "name '" + name.name->text + "' says the same as '" + place->second->text +
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

  // Needed by messages only.
  const std::vector<std::string>& ids() {
    if (ids_.empty()) ids_ = ids_of(corpus_);
    return ids_;
  }

  const Corpus& corpus_;
  Problems& problems_;
  std::vector<std::string> ids_;
  std::vector<std::string> variants_;
};

// A key in 16 bytes: a corpus may hold a million names. Two keys of one print are not to be expected.
struct KeyPrint {
  std::uint64_t one = 14695981039346656037u;
  std::uint64_t other = 0x9E3779B97F4A7C15u;
  explicit KeyPrint(std::string_view key) {
    for (const char c : key) {
      const auto byte = static_cast<unsigned char>(c);
      one = (one ^ byte) * 1099511628211u;
      other = std::rotl((other ^ byte) * 0xD6E8FEB86659FD93u, 29);
    }
  }
  bool operator==(const KeyPrint&) const = default;
};
struct KeyPrintHash {
  std::size_t operator()(const KeyPrint& print) const { return print.one ^ print.other; }
};

// Checks vocabulary/shared-names.yaml, and every name against it.
class NameChecks {
 public:
  NameChecks(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems)
      : corpus_(corpus), lexicon_(lexicon), problems_(problems) {}

  void run_vocabulary() {
    if (const auto file = corpus_.vocabulary.find("shared-names"); file != corpus_.vocabulary.end())
      check_file(file->second);
    for (const SharedName& shared : shared_names(corpus_)) take_shared(shared);
  }

  // Page by page, in the order of the corpus.
  void run(const Page& page, const std::vector<NameKey>& names) {
    ids_.push_back(page.id);
    for (const NameKey& name : names) check_name(page, name);
  }

 private:
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
      if (!corpus_.kinds.contains(id.text))
        problems_.add(Rule::unknown_article, id.place,
                      "unknown article '" + id.text + "'" +
                          or_nearest(id.text, ids_of(corpus_), kLinkToOthers));
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

  void check_name(const Page& page, const NameKey& name) {
    if (name.key.empty()) return;
    if (const auto shared = shared_.find(name.key); shared != shared_.end()) {
      if (std::find(shared->second.begin(), shared->second.end(), page.id) == shared->second.end())
        problems_.add(Rule::shared_name, name.name->place,
                      "name '" + name.name->text + "' belongs to " + joined(shared->second) +
                          " in shared-names.yaml; add '" + page.id +
                          "' there, or choose another name");
      return;
    }
    const auto number = static_cast<std::uint32_t>(ids_.size() - 1);
    const auto [owner, fresh] = owners_.try_emplace(KeyPrint(name.key), number);
    if (fresh || ids_[owner->second] == page.id) return;
    problems_.add(
        Rule::shared_name, name.name->place,
        "name '" + name.name->text + "' is a name of '" + ids_[owner->second] +
            "' too; keep it in one article, or write an entry in vocabulary/shared-names.yaml");
  }

  const Corpus& corpus_;
  kb::Lexicon& lexicon_;
  Problems& problems_;
  std::map<std::string, std::vector<std::string>> shared_;
  std::vector<std::string> ids_;  // Of the pages so far.
  std::unordered_map<KeyPrint, std::uint32_t, KeyPrintHash> owners_;  // By key, the first page's place in ids_.
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

// Checks pages as they come; what it keeps of them is short.
class CorpusChecks {
 public:
  CorpusChecks(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems)
      : corpus_(corpus),
        lexicon_(lexicon),
        problems_(problems),
        style_(house_style(corpus, problems)),
        pages_(corpus, problems),
        wording_(style_, problems),
        names_(corpus, lexicon, problems),
        links_(corpus, problems),
        runs_(style_, corpus.pages.size()) {
    check_words_file(corpus, problems);
    if (const auto fixed = corpus.vocabulary.find("wording"); fixed != corpus.vocabulary.end())
      for (const char* key : {"sentences", "advice"})
        if (const Value* sentences = fixed->second.find(key)) wording_.run(*sentences);
    names_.run_vocabulary();
  }

  std::vector<NameKey> run(const Page& page) {
    std::vector<NameKey> names = names_of(page);
    pages_.run(page, names);
    check_limits(page, style_, problems_);
    wording_.run(page);
    names_.run(page, names);
    links_.run(page);
    runs_.add(page);
    return names;
  }

  void finish() {
    wording_.finish();
    links_.finish();
    if (!runs_.suspects()) return;
    Problems told;  // What is wrong with the pages has been reported.
    for (auto again = PageReader::again(corpus_, told); const auto page = again.next();) runs_.count(*page);
    if (!runs_.found()) return;
    for (auto again = PageReader::again(corpus_, told); const auto page = again.next();) runs_.report(*page, problems_);
  }

 private:
  std::vector<NameKey> names_of(const Page& page) {
    std::vector<NameKey> out;
    for (const bool heard : {false, true}) {
      const Value* list = page.front.find(heard ? "heard-as" : "names");
      if (list == nullptr) continue;
      for (const Value& name : list->items)
        if (name.is_text()) out.push_back({&name, name_key(name.text, lexicon_), heard});
    }
    return out;
  }

  const Corpus& corpus_;
  kb::Lexicon& lexicon_;
  Problems& problems_;
  const HouseStyle style_;
  PageChecks pages_;
  WordingLint wording_;
  NameChecks names_;
  LinkChecks links_;
  RepeatedRuns runs_;
};

}  // namespace

Outcome check_corpus(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems, const PageUse& use,
                     CorpusDigest* digest) {
  constexpr std::size_t kWordsKept = 50'000;
  const StageTime time(Stage::checks);
  CorpusChecks checks(corpus, lexicon, problems);
  PageReader reader(corpus, problems, digest);
  Outcome out;
  while (const auto page = reader.next()) {
    ++out.pages;
    const std::vector<NameKey> names = checks.run(*page);
    if (use) use(*page, names);
    lexicon.keep_within(kWordsKept);
  }
  checks.finish();
  out.page_files = reader.files();
  return out;
}

std::string name_key(std::string_view name, kb::Lexicon& lexicon) { return kb::stemmed_text(name, lexicon); }

}  // namespace indexer
