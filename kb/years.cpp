#include "kb/years.h"

#include <algorithm>
#include <charconv>

namespace kb {
namespace {

constexpr int kFirstYear = 1700, kLastYear = 2100;
constexpr std::uint32_t kCueBefore = 4, kCueAfter = 3;  // Tokens between a year and its cue.
constexpr std::uint32_t kOpenReach = 2, kItemReach = 4;  // Tokens between a year and the thing it is of.
constexpr int kSoftYears = 10;  // design: within ten years after common use ended, stock and reuse are told of.

std::optional<int> year_of(const std::string& word) {
  int value = 0;
  const auto end = std::from_chars(word.data(), word.data() + word.size(), value);
  const std::string_view rest(end.ptr, static_cast<std::size_t>(word.data() + word.size() - end.ptr));
  if (rest == "s" && word.size() == 3 && value >= 10 && value % 10 == 0) return 1900 + value;  // "50s"
  if ((rest.empty() || rest == "s") && word.size() >= 4 && value >= kFirstYear && value <= kLastYear) return value;
  return std::nullopt;
}

// The nearest cue that tells what a year is of: one before it, else one after it.
Year::Of meaning(const Scene& s, std::uint32_t at) {
  const Sentence& in = s.sentences[s.sentence_of[at]];
  const auto look = [&](std::uint32_t i) {
    if (s.has(i, Cue::event)) return Year::Of::event;
    if (s.has(i, Cue::installed)) return Year::Of::item;
    if (s.has(i, Cue::addition)) return Year::Of::addition;
    if (s.has(i, Cue::built)) return Year::Of::house;
    return Year::Of::open;
  };
  for (std::uint32_t i = at; i > in.first && at - i < kCueBefore;) {
    --i;
    if (s.breaks(i)) break;
    if (const auto of = look(i); of != Year::Of::open) return of;
  }
  for (std::uint32_t i = at + 1; i < in.last && i - at <= kCueAfter; ++i) {
    if (s.breaks(i)) break;
    if (const auto of = look(i); of != Year::Of::open) return of;
  }
  return Year::Of::open;
}

// Is the year said of this mention? After the thing, only its place may stand between ("sheet vinyl in
// the kitchen, installed 2012"); before it, a few words of one clause, or the thing is called new.
bool said_of(const Scene& s, const Mention& x, const Year& y) {
  if (s.sentence_of[y.token] != x.sentence) return false;
  const std::uint32_t first = std::min(x.last, y.token + 1), last = std::max(x.first, y.token);
  bool comma = false;
  for (std::uint32_t i = first; i < last; ++i) {
    if (s.breaks(i) || s.has(i, Cue::terminator) || s.has(i, Cue::older_part) || s.has(i, Cue::original)) return false;
    comma = comma || s.is_mark(i, ',');
  }
  const bool called_new = x.first > 0 && s.has(x.first - 1, Cue::modern);
  if (y.token >= x.last) return s.said_of_subject(x.last, y.token) && (y.of == Year::Of::item || called_new || last - first <= kOpenReach);
  return called_new || (!comma && last - first <= (y.of == Year::Of::item ? kItemReach : kOpenReach));
}

bool older_part(const Scene& s, const Mention& x, bool original_counts) {
  for (std::uint32_t n = x.sentence == 0 ? 0 : x.sentence - 1; n <= x.sentence + 1 && n < s.sentences.size(); ++n) {
    const Sentence& in = s.sentences[n];
    for (std::uint32_t i = in.first; i < in.last; ++i) {
      if (s.has(i, Cue::nothing_older)) continue;
      if (s.has(i, Cue::older_part) || (original_counts && s.has(i, Cue::original))) return true;
    }
  }
  return false;
}

}  // namespace

std::vector<Year> find_years(const Scene& s) {
  std::vector<Year> out;
  for (std::uint32_t i = 0; i < s.tokens.size(); ++i) {
    if (!s.tokens[i].number) continue;
    if (const auto value = year_of(s.tokens[i].word->folded)) out.push_back({*value, i, meaning(s, i)});
  }
  for (const Match& m : s.of(Cue::decade)) out.push_back({m.tag.item, m.first, Year::Of::house});
  return out;
}

std::optional<int> built_year(const std::vector<Year>& years) {
  for (const Year& y : years)
    if (y.of == Year::Of::house) return y.value;
  return std::nullopt;
}

Dating date_mention(const Scene& s, const Mention& x, const std::vector<Year>& years, std::optional<int> built,
                    bool suspected) {
  Dating out;
  bool own = false;
  for (const Year& y : years) {
    if ((y.of == Year::Of::item || y.of == Year::Of::open) && said_of(s, x, y)) {
      out.year = y.value;
      out.token = y.token;
      own = true;
    }
  }
  if (!own)
    for (const Year& y : years)
      if (y.of == Year::Of::addition) {
        out.year = y.value;
        out.token = y.token;
        own = true;
      }
  if (!own) out.year = built;
  if (!out.year) return out;
  const Material& m = s.knowledge->materials[static_cast<std::size_t>(x.material)];
  out.period = *out.year < m.from ? Period::before : *out.year <= m.to ? Period::within : Period::after;
  out.late = *out.year > m.to + kSoftYears && !suspected && !x.left_over && !x.unseen && !older_part(s, x, own);
  return out;
}

}  // namespace kb
