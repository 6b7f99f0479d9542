#include "kb/layout.h"

#include <algorithm>
#include <cctype>

namespace kb {
namespace {

constexpr std::size_t kShortLine = 60;    // A shorter line that ends a sentence ends its observation.
constexpr std::size_t kLongestObservation = 8192;
constexpr std::size_t kLongestLabel = 40;
constexpr std::size_t kLongestHeading = 60;
constexpr int kHeadingWords = 5;

struct Line {
  std::size_t begin = 0;  // First byte that is not blank.
  std::size_t end = 0;    // Past the last byte that is not blank.
  std::size_t next = 0;   // Begin of the next line.
  std::size_t text = 0;   // Begin without the list mark.
  bool blank = true;
  bool item = false;      // Starts with a list mark.
  bool skipped = false;   // Belongs to a block.
};

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\f' || c == '\v'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Length of a list mark at `at` with the blanks after it, or 0: "- ", "* ", "•", "1. ", "2) ", "(a) ".
std::size_t list_mark(std::string_view note, std::size_t at, std::size_t end) {
  std::size_t i = at;
  if (i >= end) return 0;
  if (note.substr(i, 3) == "\xE2\x80\xA2") {
    i += 3;
  } else if (note[i] == '-' || note[i] == '*' || note[i] == '+') {
    ++i;
    if (i >= end || !is_space(note[i])) return 0;
  } else if (is_digit(note[i])) {
    while (i < end && is_digit(note[i]) && i - at < 3) ++i;
    if (i >= end || (note[i] != '.' && note[i] != ')')) return 0;
    ++i;
    if (i >= end || !is_space(note[i])) return 0;
  } else if (note[i] == '(' && i + 2 < end && note[i + 2] == ')') {
    i += 3;
  } else {
    return 0;
  }
  while (i < end && is_space(note[i])) ++i;
  return i - at;
}

// The lines of a note, one after the other: a long note has too many to hold.
class Lines {
 public:
  Lines(std::string_view note, const std::vector<Span>& skip) : note_(note), skip_(skip), at_(note.starts_with("\xEF\xBB\xBF") ? 3 : 0) {}

  // False at the end.
  bool next(Line& line) {
    if (at_ >= note_.size()) return false;
    line = Line{};
    std::size_t end = note_.find('\n', at_);
    line.next = end == std::string_view::npos ? note_.size() : end + 1;
    if (end == std::string_view::npos) end = note_.size();
    line.begin = at_;
    while (line.begin < end && is_space(note_[line.begin])) ++line.begin;
    line.end = end;
    while (line.end > line.begin && is_space(note_[line.end - 1])) --line.end;
    line.blank = line.begin == line.end;
    while (next_skip_ < skip_.size() && skip_[next_skip_].end <= at_) ++next_skip_;
    line.skipped = next_skip_ < skip_.size() && skip_[next_skip_].begin <= at_ && at_ < skip_[next_skip_].end;
    const std::size_t mark = line.blank ? 0 : list_mark(note_, line.begin, line.end);
    line.item = mark > 0;
    line.text = line.begin + mark;
    at_ = line.next;
    return true;
  }

 private:
  std::string_view note_;
  const std::vector<Span>& skip_;
  std::size_t at_;
  std::size_t next_skip_ = 0;
};

// The label of a line: up to its colon, when that comes early, is not inside a number or a word, and
// the label holds no full stop. "Attic: ..." and "Unit 2 bath - ..." are labels.
Span label_of(std::string_view note, std::size_t begin, std::size_t end) {
  const std::size_t reach = std::min(end, begin + kLongestLabel);
  for (std::size_t i = begin; i < reach; ++i) {
    const char c = note[i];
    if (c == '.' || c == ';' || c == ',' || c == '?' || c == '!') return {begin, begin};
    if (c == ':' && i > begin && i + 1 < end && !is_digit(note[i + 1])) return {begin, i};
    if (c == '-' && i > begin && is_space(note[i - 1]) && i + 1 < end && is_space(note[i + 1])) {
      std::size_t last = i;
      while (last > begin && is_space(note[last - 1])) --last;
      return {begin, last};
    }
  }
  return {begin, begin};
}

bool ends_sentence(char c) { return c == '.' || c == '!' || c == '?'; }

bool all_capitals(std::string_view text) {
  int letters = 0;
  for (const char c : text) {
    if (std::islower(static_cast<unsigned char>(c)) != 0) return false;
    if (std::isupper(static_cast<unsigned char>(c)) != 0) ++letters;
  }
  return letters >= 3;
}

// A heading: "# ...", a short line that ends with a colon or stands right above a list, or a short line all in capitals without a
// sentence's end, above other text (not in a note that is `shouted` in capitals throughout).
bool is_heading(std::string_view note, const Line& line, const Line* below, bool shouted, bool goes_on) {
  if (line.item || line.blank || line.end - line.text > kLongestHeading) return false;
  const std::string_view text = note.substr(line.text, line.end - line.text);
  if (text.front() == '#') return true;
  if (text.back() == ':') return true;
  // "Basement" right above a list is its heading, in whatever letters.
  if (!goes_on && below != nullptr && below->item && !ends_sentence(text.back()) && count_words(text) <= kHeadingWords && text.find_first_of(",;:") == std::string_view::npos) return true;
  const bool capitals = !shouted && all_capitals(text) && text.find_first_of(".,;:?!") == std::string_view::npos;
  return capitals && count_words(text) <= kHeadingWords && below != nullptr && !below->skipped;
}

// Where a long text is cut: after the last sentence's end before the limit, else at a blank, else there.
std::size_t cut_at(std::string_view note, std::size_t begin) {
  const std::size_t limit = begin + kLongestObservation;
  for (std::size_t i = limit; i > begin + kLongestObservation / 2; --i)
    if (note[i - 1] == '.' && is_space(note[i])) return i;
  for (std::size_t i = limit; i > begin + kLongestObservation / 2; --i)
    if (is_space(note[i]) || note[i] == '\n') return i;
  return limit;
}

// Cuts the last observation into parts that the reader can hold; all keep its anchor.
void cut_long(std::string_view note, std::vector<Observation>& out) {
  while (out.back().span.end - out.back().span.begin > kLongestObservation) {
    Observation rest = out.back();
    out.back().span.end = cut_at(note, rest.span.begin);
    rest.span.begin = out.back().span.end;
    rest.label = {rest.span.begin, rest.span.begin};
    out.push_back(rest);
  }
}

}  // namespace

std::vector<Observation> lay_out(std::string_view note, const std::vector<Span>& skip) {
  Lines lines(note, skip);
  std::vector<Observation> out;
  Span heading{0, 0};
  bool of_list = false;  // Does the heading hold for the list below it only?
  bool open = false;     // Does the last observation go on?
  const bool shouted = all_capitals(note);
  Line above, line, following;
  // `after`: the line after the observation, when there is one. One empty line below belongs to the anchor.
  const auto close = [&](const Line* after) {
    Observation& o = out.back();
    o.anchor = after != nullptr && after->blank && !after->skipped ? after->next : above.next;
    open = false;
    cut_long(note, out);
  };
  bool more = lines.next(following);
  for (; more; above = line) {
    line = following;
    more = lines.next(following);
    const Line* below = more ? &following : nullptr;
    if (line.blank || line.skipped) {
      if (open) close(&line);
      continue;
    }
    const bool goes_on = open && (line.begin > above.next || !ends_sentence(note[above.end - 1]));
    if (is_heading(note, line, below, shouted, goes_on)) {
      if (open) close(&line);
      of_list = below != nullptr && below->item && note[line.end - 1] != ':' && note[line.text] != '#' && !all_capitals(note.substr(line.text, line.end - line.text));
      heading = {line.text, line.end};
      while (heading.begin < heading.end && (note[heading.begin] == '#' || is_space(note[heading.begin]))) ++heading.begin;
      if (heading.end > heading.begin && note[heading.end - 1] == ':') --heading.end;
      continue;
    }
    const Span label = label_of(note, line.text, line.end);
    // Inside a paragraph a dash is only a dash.
    const bool labelled = label.end > label.begin && (!open || note[label.end] == ':');
    if (open) {
      const bool ended = ends_sentence(note[above.end - 1]) && above.end - above.begin < kShortLine;
      if (line.item || labelled || ended) close(&line);
    }
    if (of_list && !line.item && !open) {
      heading = {0, 0};
      of_list = false;
    }
    if (!open) {
      out.push_back({{line.text, line.end}, heading, label, 0});
      open = true;
    } else {
      out.back().span.end = line.end;
    }
  }
  if (open) close(nullptr);
  return out;
}

}  // namespace kb
