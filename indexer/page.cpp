#include "indexer/page.h"

#include <algorithm>
#include <utility>

#include "indexer/front_matter.h"
#include "indexer/markdown.h"
#include "indexer/timing.h"
#include "kb/text.h"

namespace indexer {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

int line_of(std::string_view text, std::size_t at) {
  return static_cast<int>(
             std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n')) +
         1;
}

bool is_control(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20 && c != '\n' && c != '\t' && c != '\r') || byte == 0x7F;
}

// Looks at every byte: without a way out of the loop the compiler takes many at a time.
bool holds_control(std::string_view bytes) {
  bool found = false;
  for (const char c : bytes) found |= is_control(c);
  return found;
}

std::string with_plain_line_ends(std::string_view text) {
  if (text.find('\r') == std::string_view::npos) return std::string(text);
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\r') {
      out += text[i];
    } else if (i + 1 == text.size() || text[i + 1] != '\n') {
      out += '\n';
    }
  }
  return out;
}

// The two halves of a page. `body_line` is the line on which the body begins.
struct Halves {
  std::string_view front;
  std::string_view body;
  int body_line = 1;
};

bool is_fence(std::string_view line) {
  return line.starts_with("---") && line.find_first_not_of(" \t", 3) == std::string_view::npos;
}

std::optional<Halves> split_page(std::string_view text) {
  std::size_t begin = text.find('\n');
  if (!is_fence(text.substr(0, begin)) || begin == std::string_view::npos) return {};
  ++begin;
  int line = 2;
  for (std::size_t at = begin; at < text.size(); ++line) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    if (is_fence(text.substr(at, end - at)))
      return Halves{text.substr(begin, at - begin), text.substr(std::min(end + 1, text.size())),
                    line + 1};
    at = end + 1;
  }
  return {};
}

std::string file_stem(std::string_view path) {
  const std::size_t slash = path.rfind('/');
  if (slash != std::string_view::npos) path.remove_prefix(slash + 1);
  if (path.ends_with(".md")) path.remove_suffix(3);
  return std::string(path);
}

void check_identity(const Page& page, Problems& problems) {
  const Value* id = page.front.find("id");
  if (id != nullptr && id->is_text() && id->text != page.id)
    problems.add(Rule::id_not_file_name, id->place,
                 "id '" + id->text + "' in the file '" + page.id + ".md'; give both the same name");
  const Value* kind = page.front.find("kind");
  const Kind* said = kind != nullptr ? kind_by_name(kind->text) : nullptr;
  if (said != nullptr && said != page.kind)
    problems.add(Rule::wrong_value, kind->place,
                 "kind '" + said->name + "' in the folder '" + page.kind->folder + "'; write '" +
                     page.kind->name + "', or move the file to '" + said->folder + "'");
}

// Reports unknown, repeated and misplaced headings and empty sections.
class SectionChecks {
 public:
  SectionChecks(const Page& page, Problems& problems) : page_(page), problems_(problems) {}

  void run(bool whole) {
    for (std::size_t i = 0; i < page_.sections.size(); ++i) {
      check_heading(i);
      check_filled(i);
    }
    if (whole) check_missing();
  }

 private:
  const std::vector<std::string>& expected() const { return page_.kind->sections; }

  // Where in the kind's order a heading stands; free ones come after all.
  std::size_t rank(const std::string& heading) const {
    const auto place = std::find(expected().begin(), expected().end(), heading);
    return static_cast<std::size_t>(place - expected().begin());
  }

  void check_heading(std::size_t i) {
    const Section& section = page_.sections[i];
    if (repeated(i)) {
      problems_.add(Rule::repeated_section, section.place,
                    "section '" + section.heading + "' stands twice; make them one");
      return;
    }
    if (section.level != 2) return;
    const std::size_t at = rank(section.heading);
    if (at == expected().size() && !page_.kind->free_sections) {
      problems_.add(Rule::unknown_section, section.place,
                    "unknown section '" + section.heading + "'" +
                        or_nearest(section.heading, expected(),
                                   "a " + page_.kind->name + " has " + joined(expected())));
    } else if (at < furthest_) {
      problems_.add(
          Rule::misplaced_section, section.place,
          "section '" + section.heading + "' stands too late; the order is " + joined(expected()));
    } else {
      furthest_ = at;
    }
  }

  // A level 3 heading may come again under another one of level 2.
  bool repeated(std::size_t i) const {
    const Section& section = page_.sections[i];
    for (std::size_t before = i; before-- > 0;) {
      const Section& other = page_.sections[before];
      if (section.level == 3 && other.level == 2) return false;
      if (other.level == section.level && other.heading == section.heading) return true;
    }
    return false;
  }

  void check_filled(std::size_t i) {
    const Section& section = page_.sections[i];
    const bool parent = section.level == 2 && section.heading != kReportWording &&
                        i + 1 < page_.sections.size() && page_.sections[i + 1].level == 3;
    if (section.body.empty() && !parent)
      problems_.add(
          Rule::empty_section, section.place,
          "section '" + section.heading + "' is empty; write it, or take the heading out");
  }

  // Told at the heading before which it belongs.
  void check_missing() {
    for (std::size_t i = 0; i < expected().size(); ++i) {
      Place place = page_.end;
      bool found = false;
      for (auto s = page_.sections.rbegin(); s != page_.sections.rend(); ++s) {
        if (s->level != 2) continue;
        if (rank(s->heading) > i) place = s->place;
        // A misspelt heading has been reported; its section is not missing as well.
        const std::string* meant = nearest(s->heading, expected());
        found = found || (meant != nullptr && *meant == expected()[i]);
      }
      if (!found)
        problems_.add(Rule::missing_section, place,
                      "missing section '" + expected()[i] + "'; write '## " + expected()[i] +
                          (i == 0 ? "' first" : "' after '" + expected()[i - 1] + "'"));
    }
  }

  const Page& page_;
  Problems& problems_;
  std::size_t furthest_ = 0;
};

}  // namespace

std::optional<std::string> clean_text(std::string_view path, std::string_view bytes,
                                      Problems& problems) {
  std::size_t bad = 0;
  if (!kb::valid_utf8(bytes, &bad)) {
    problems.add(Rule::not_utf8, {path, line_of(bytes, bad)}, "not UTF-8; save the file as UTF-8");
    return {};
  }
  if (holds_control(bytes)) {
    const auto control = std::find_if(bytes.begin(), bytes.end(), is_control);
    const auto at = static_cast<std::size_t>(control - bytes.begin());
    problems.add(Rule::not_utf8, {path, line_of(bytes, at)},
                 "a control character; save the file as plain UTF-8 text");
    return {};
  }
  if (bytes.starts_with(kByteOrderMark)) bytes.remove_prefix(kByteOrderMark.size());
  return with_plain_line_ends(bytes);
}

std::optional<Page> read_page(std::string_view path, std::string_view bytes, const Kind& kind,
                              bool whole, Problems& problems) {
  // cmark is slow on some large inputs, so size comes first.
  if (bytes.size() > kLargestPage) {
    problems.add(Rule::page_too_large, {path, 1},
                 "the page has " + std::to_string(bytes.size()) +
                     " bytes; keep it within 65536, or make two pages of it");
    return {};
  }
  const auto text = clean_text(path, bytes, problems);
  if (!text) return {};
  const auto halves = split_page(*text);
  if (!halves) {
    problems.add(Rule::no_front_matter, {path, 1},
                 "no front matter; begin with '---', the keys, and '---' again");
    return {};
  }
  Page page;
  page.id = file_stem(path);
  page.kind = &kind;
  page.end = {path, line_of(*text, text->size() - (text->ends_with('\n') ? 1 : 0))};
  auto front = parse_yaml(halves->front, {path, 2}, problems);
  page.sections = read_sections(halves->body, {path, halves->body_line}, problems);
  const StageTime time(Stage::checks);
  if (front && front->is_map()) {
    page.front = std::move(*front);
    check_front(page.front, kind, whole, problems);
    check_identity(page, problems);
  } else if (front) {
    problems.add(Rule::wrong_form, {path, 2},
                 "the front matter is no mapping; write 'key: value'");
  }
  SectionChecks(page, problems).run(whole);
  return page;
}

std::optional<Page> read_page_again(std::string_view path, std::string_view bytes, const Kind& kind) {
  Problems told;
  const auto text = bytes.size() > kLargestPage ? std::nullopt : clean_text(path, bytes, told);
  const auto halves = text ? split_page(*text) : std::nullopt;
  if (!halves) return {};
  Page page;
  page.id = file_stem(path);
  page.kind = &kind;
  page.sections = read_sections(halves->body, {path, halves->body_line}, told);
  return page;
}

}  // namespace indexer
