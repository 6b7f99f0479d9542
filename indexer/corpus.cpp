#include "indexer/corpus.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "indexer/drawing_checks.h"
#include "indexer/timing.h"
#include "indexer/value_checks.h"
#include "kb/drawing.h"
#include "kb/sha256.h"

namespace indexer {
namespace {

std::string_view stem_of(std::string_view relative) {
  const std::size_t slash = relative.find('/');
  return relative.substr(slash + 1, relative.rfind('.') - slash - 1);
}

std::optional<Value> read_yaml(const SourceFile& file, std::string_view bytes, Problems& problems) {
  const auto text = clean_text(file.path, bytes, problems);
  return text ? parse_yaml(*text, {file.path, 1}, problems) : std::nullopt;
}

void take_version(const SourceFile& file, std::string_view bytes, Corpus& corpus, Problems& problems) {
  const auto value = read_yaml(file, bytes, problems);
  if (!value) return;
  ValueChecks checks(problems);
  if (!checks.map("corpus.yaml", *value, {"version"}, {})) return;
  if (const Value* version = value->find("version");
      version != nullptr && checks.text("version", *version))
    corpus.version = version->text;
}

// An empty value would reach the program as nothing at all.
void refuse_empty_values(const Value& value, Problems& problems) {
  if (value.kind == Value::Kind::null)
    problems.add(Rule::faulty_vocabulary, value.place,
                 "an empty value; write it, quote it (\"\", \"null\"), or take the entry out");
  for (const Value& item : value.items) refuse_empty_values(item, problems);
  for (const Member& member : value.members) refuse_empty_values(member.value, problems);
}

// A file of a later folder that only letbe's own articles may have: what no page may say, how strong an
// advice is, and the fixed words of a block. Softer wording must not come in that way.
constexpr std::string_view kOwnVocabulary[] = {"house-style", "advice", "wording", "walk"};

// Lays a firm's words over letbe's: lists grow, mappings are merged, entries with the same `id` or `name`
// are merged; a single value is replaced. So a firm adds its cues and loses none of ours.
void merge(Value& base, Value over);

Value* same_entry(Value& list, const Value& entry) {
  for (const char* key : {"id", "name"}) {
    const Value* wanted = entry.find(key);
    if (wanted == nullptr) continue;
    for (Value& item : list.items)
      if (const Value* have = item.find(key); have != nullptr && have->text == wanted->text) return &item;
  }
  return nullptr;
}

void merge(Value& base, Value over) {
  if (base.is_list() && over.is_list()) {
    for (Value& item : over.items) {
      if (Value* same = item.is_map() ? same_entry(base, item) : nullptr) {
        merge(*same, std::move(item));
        continue;
      }
      const bool told = item.is_text() && std::any_of(base.items.begin(), base.items.end(), [&](const Value& v) { return v.is_text() && v.text == item.text; });
      if (!told) base.items.push_back(std::move(item));
    }
    return;
  }
  if (!base.is_map() || !over.is_map()) {
    base = std::move(over);
    return;
  }
  for (Member& member : over.members) {
    const auto place = std::find_if(base.members.begin(), base.members.end(), [&](const Member& m) { return m.key == member.key; });
    if (place == base.members.end()) {
      base.members.push_back(std::move(member));
    } else {
      merge(place->value, std::move(member.value));
    }
  }
}

void take_vocabulary(const SourceFile& file, std::string_view bytes, Corpus& corpus, Problems& problems) {
  auto value = read_yaml(file, bytes, problems);
  if (!value) return;
  refuse_empty_values(*value, problems);
  const std::string name(stem_of(file.relative));
  const auto [have, fresh] = corpus.vocabulary.try_emplace(name, Value{});
  if (fresh) {
    have->second = std::move(*value);
  } else if (std::find(std::begin(kOwnVocabulary), std::end(kOwnVocabulary), name) != std::end(kOwnVocabulary)) {
    problems.add(Rule::own_vocabulary, {file.path, 1},
                 "'" + name + ".yaml' belongs to letbe's own articles; a firm changes pages, and adds cues in the other files");
  } else {
    merge(have->second, std::move(*value));
  }
}

void override_front(Value& base, Value over) {
  for (Member& member : over.members) {
    const auto place = std::find_if(base.members.begin(), base.members.end(),
                                    [&](const Member& m) { return m.key == member.key; });
    if (place != base.members.end()) {
      *place = std::move(member);
    } else {
      base.members.push_back(std::move(member));
    }
  }
}

// The range [first, last) of `sections` that the level 2 heading at `first` opens.
std::size_t group_end(const std::vector<Section>& sections, std::size_t first) {
  std::size_t end = first + 1;
  while (end < sections.size() && sections[end].level != 2) ++end;
  return end;
}

// Eight hex digits of what a level 2 heading opens.
std::string digits_of(const std::vector<Section>& sections, std::size_t first) {
  std::string text;
  for (std::size_t i = first; i < group_end(sections, first); ++i) text += std::to_string(sections[i].level) + ' ' + sections[i].heading + '\n' + sections[i].body + '\n';
  return kb::sha256_hex(text, 8);
}

// Each section that `over` replaces must name the text it was written for, so that it is told when that
// text has changed since: the new one may hold a caution that the old one had not.
void check_base(const std::vector<Section>& base, const Page& over, Problems& problems) {
  const Value* digits = over.front.find("base");
  const Place here = digits != nullptr ? digits->place : Place{over.end.file, 1};
  std::vector<std::string> replaced;
  for (const Section& section : over.sections) {
    if (section.level != 2) continue;
    const auto old = std::find_if(base.begin(), base.end(), [&](const Section& s) { return s.level == 2 && s.heading == section.heading; });
    if (old == base.end()) continue;
    replaced.push_back(section.heading);
    const std::string now = digits_of(base, static_cast<std::size_t>(old - base.begin()));
    const Value* said = digits == nullptr ? nullptr : digits->find(section.heading);
    if (said == nullptr) {
      problems.add(Rule::stale_override, here, "'" + section.heading + "' replaces letbe's text and does not say which; write base: {" + section.heading + ": " + now + "}");
    } else if (said->is_text() && said->text != now) {
      problems.add(Rule::stale_override, said->place, "letbe's '" + section.heading + "' has changed since this was written for " + said->text + "; read it again, then write " + now);
    }
  }
  if (digits == nullptr) return;
  for (const Member& member : digits->members)
    if (std::find(replaced.begin(), replaced.end(), member.key) == replaced.end())
      problems.add(Rule::stale_override, member.place, "'base' names '" + member.key + "', which this page does not replace; take it out");
}

void override_sections(std::vector<Section>& base, const std::vector<Section>& over) {
  const auto at = [](auto& list, std::size_t i) {
    return list.begin() + static_cast<std::ptrdiff_t>(i);
  };
  for (std::size_t i = 0; i < over.size();) {
    const std::size_t end = group_end(over, i);
    std::size_t old = 0;
    while (old < base.size() && (base[old].level != 2 || base[old].heading != over[i].heading))
      ++old;
    if (old < base.size()) base.erase(at(base, old), at(base, group_end(base, old)));
    base.insert(at(base, old), at(over, i), at(over, end));
    i = end;
  }
}

// Takes what is no page, file by file, and lists the pages.
class Assembler {
 public:
  Assembler(Problems& problems, CorpusDigest* digest) : problems_(problems), digest_(digest) {}

  void take(const SourceFile& file) {
    const std::string_view folder = std::string_view(file.relative).substr(0, file.relative.find('/'));
    if (file.relative == "corpus.yaml") {
      take_with(take_version, file);
    } else if (folder == "vocabulary") {
      take_with(take_vocabulary, file);
    } else if (const Kind* kind = kind_by_folder(folder)) {
      const std::string_view id = stem_of(file.relative);
      if (file.relative.ends_with(".svg")) {
        drawings_.push_back({kind, id, &file});
        return;
      }
      // Of an id in two folders of kinds the first stays; the checks tell of the other page.
      corpus_.kinds.try_emplace(id, kind);
      corpus_.pages.push_back({kind, id, &file});
    }
  }

  Corpus finish() {
    // Stable: the folders of one page stay in their order. Kinds stand in one table, in order.
    std::stable_sort(corpus_.pages.begin(), corpus_.pages.end(), [](const PageFile& a, const PageFile& b) {
      return std::tie(a.kind, a.id) < std::tie(b.kind, b.id);
    });
    for (const PageFile& drawing : drawings_) take_drawing(drawing);
    return std::move(corpus_);
  }

 private:
  template <typename Take>
  void take_with(Take how, const SourceFile& file) {
    const auto bytes = bytes_of(file, buffer_, problems_);
    if (!bytes) return;
    if (digest_ != nullptr) digest_->add(file.relative, *bytes);
    how(file, *bytes, corpus_, problems_);
  }

  void take_drawing(const PageFile& drawing) {
    const auto page = corpus_.kinds.find(drawing.id);
    const auto& sections = drawing.kind->sections;
    const std::string id(drawing.id);
    std::string instead;
    if (page == corpus_.kinds.end()) {
      std::vector<std::string> ids;
      for (const auto& [known, kind] : corpus_.kinds) ids.emplace_back(known);
      instead = or_nearest(id, ids, "write the page, or give the file the name of one");
    } else if (page->second != drawing.kind) {
      instead = "; its page is in '" + page->second->folder + "', move it there";
    } else if (std::find(sections.begin(), sections.end(), kb::kDrawnSection) == sections.end()) {
      instead = "; a page in '" + drawing.kind->folder + "' has no section '" + std::string(kb::kDrawnSection) + "' to show it, take it out";
    } else {
      corpus_.drawings[page->first].push_back(drawing.file);
      return;
    }
    problems_.add(Rule::drawing_without_page, {drawing.file->path, 1}, "no page '" + drawing.kind->folder + "/" + id + ".md' to show this drawing" + instead);
  }

  Problems& problems_;
  CorpusDigest* digest_;
  Corpus corpus_;
  std::vector<PageFile> drawings_;
  std::string buffer_;
};

bool has_file(const Sources& sources, std::string_view relative) {
  return std::any_of(sources.begin(), sources.end(), [&](const SourceFolder& folder) {
    return std::any_of(folder.files.begin(), folder.files.end(),
                       [&](const SourceFile& file) { return file.relative == relative; });
  });
}

void require_file(const Sources& sources, const std::string& relative, const char* holds,
                  Problems& problems) {
  if (sources.empty() || has_file(sources, relative)) return;
  const std::string path = sources.front().path + "/" + relative;
  problems.add(Rule::faulty_vocabulary, {path, 1}, std::string("missing file; it holds ") + holds);
}

void take_map(const Value& words, std::string_view key,
              std::map<std::string, std::string, std::less<>>& into) {
  const Value* map = words.find(key);
  if (map == nullptr) return;
  for (const Member& member : map->members)
    if (member.value.is_text()) into.insert_or_assign(member.key, member.value.text);
}

}  // namespace

Corpus assemble(const Sources& sources, Problems& problems, CorpusDigest* digest) {
  const StageTime time(Stage::read);
  require_file(sources, "corpus.yaml", "the line 'version: \"2026.11\"'", problems);
  require_file(sources, "vocabulary/house-style.yaml", "what pages may and may not say", problems);
  Assembler assembler(problems, digest);
  for (const SourceFolder& folder : sources)
    for (const SourceFile& file : folder.files) assembler.take(file);
  return assembler.finish();
}

PageReader PageReader::again(const Corpus& corpus, Problems& problems) {
  PageReader reader(corpus, problems);
  reader.again_ = true;
  return reader;
}

std::optional<Page> PageReader::read(std::size_t first, std::size_t end) {
  std::optional<Page> page;
  bool seen = false;
  for (std::size_t i = first; i < end; ++i) {
    const PageFile& part = corpus_.pages[i];
    std::optional<std::string_view> bytes;
    {
      const StageTime time(Stage::read);
      bytes = bytes_of(*part.file, buffer_, problems_);
      if (bytes && digest_ != nullptr) digest_->add(part.file->relative, *bytes);
    }
    if (!bytes) continue;
    ++files_;
    // Also true where the earlier file could not be read as a page, so that one fault is told once.
    const bool overrides = std::exchange(seen, true);
    auto more = again_ ? read_page_again(part.file->path, *bytes, *part.kind)
                       : read_page(part.file->path, *bytes, *part.kind, !overrides, problems_);
    if (!more) continue;
    if (page) {
      if (!again_) check_base(page->sections, *more, problems_);
      std::erase_if(more->front.members, [](const Member& m) { return m.key == "base"; });
      override_front(page->front, std::move(more->front));
      override_sections(page->sections, more->sections);
    } else if (!overrides) {
      if (const Value* base = more->front.find("base"))
        problems_.add(Rule::stale_override, base->place, "'base' stands in a page that overrides none; take it out");
      page = std::move(more);
    }
  }
  if (page && !again_) take_drawing(*page);
  return page;
}

// Every folder's drawing is checked, the last one stays.
void PageReader::take_drawing(Page& page) {
  const auto files = corpus_.drawings.find(page.id);
  if (files == corpus_.drawings.end()) return;
  for (const SourceFile* file : files->second) {
    const auto bytes = bytes_of(*file, buffer_, problems_);
    if (!bytes) continue;
    if (digest_ != nullptr) digest_->add(file->relative, *bytes);
    const StageTime time(Stage::checks);
    page.drawing = read_drawing(file->path, *bytes, page.id, problems_).value_or(std::string());
    page.drawing_place = {file->path, 1};
  }
}

std::optional<Page> PageReader::next() {
  while (at_ < corpus_.pages.size()) {
    const std::size_t first = at_;
    const PageFile& whole = corpus_.pages[first];
    while (at_ < corpus_.pages.size() && corpus_.pages[at_].kind == whole.kind && corpus_.pages[at_].id == whole.id) ++at_;
    if (auto page = read(first, at_)) return page;
  }
  return {};
}

kb::WordRules word_rules(const Corpus& corpus) {
  kb::WordRules rules;
  const auto words = corpus.vocabulary.find("words");
  if (words == corpus.vocabulary.end()) return rules;
  take_map(words->second, "same", rules.same);
  take_map(words->second, "spoken", rules.spoken);
  for (Text& text : texts_under(words->second, "abbreviations"))
    rules.abbreviations.push_back(std::move(text.text));
  for (Text& text : texts_under(words->second, "negating-prefixes"))
    rules.negating_prefixes.push_back(std::move(text.text));
  for (Text& text : texts_under(words->second, "whole")) rules.whole.push_back(std::move(text.text));
  return rules;
}

std::vector<SharedName> shared_names(const Corpus& corpus) {
  std::vector<SharedName> out;
  const auto file = corpus.vocabulary.find("shared-names");
  if (file == corpus.vocabulary.end()) return out;
  for (const Value& entry : file->second.items) {
    SharedName shared{text_under(entry, "name"), {}, entry.place};
    for (Text& id : texts_under(entry, "ids")) shared.ids.push_back(std::move(id.text));
    out.push_back(std::move(shared));
  }
  return out;
}

}  // namespace indexer
