#include "kb/text.h"

#include <utf8proc.h>

#include <algorithm>
#include <array>
#include <cstring>

namespace kb {
namespace {

constexpr std::string_view kVowels = "aeiou";

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_ascii_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

// The code point at `at` and its length in bytes; length 1 and point -1 for an invalid byte.
struct Point {
  std::int32_t value = -1;
  std::size_t length = 1;
};

Point point_at(std::string_view text, std::size_t at) {
  const auto byte = static_cast<unsigned char>(text[at]);
  if (byte < 0x80) return {byte, 1};
  utf8proc_int32_t value = -1;
  const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data() + at),
                                       static_cast<utf8proc_ssize_t>(text.size() - at), &value);
  if (length <= 0) return {};
  return {value, static_cast<std::size_t>(length)};
}

bool is_letter(const Point& p) {
  if (p.value < 0) return false;
  if (p.value < 0x80) return is_ascii_letter(static_cast<char>(p.value));
  switch (utf8proc_category(p.value)) {
    case UTF8PROC_CATEGORY_LU:
    case UTF8PROC_CATEGORY_LL:
    case UTF8PROC_CATEGORY_LT:
    case UTF8PROC_CATEGORY_LM:
    case UTF8PROC_CATEGORY_LO:
    case UTF8PROC_CATEGORY_MN:
    case UTF8PROC_CATEGORY_MC:
      return true;
    default:
      return false;
  }
}

bool is_apostrophe(std::int32_t value) { return value == '\'' || value == 0x2019 || value == 0x02BC; }

// The ASCII sign that stands for a typographic one, 0 for signs that mean nothing here.
char plain_mark(std::int32_t value) {
  if (value >= 0x21 && value < 0x7F) return static_cast<char>(value);
  switch (value) {
    case '\n': return '\n';
    case 0x2018: case 0x2019: case 0x2032: return '\'';
    case 0x201C: case 0x201D: case 0x2033: return '"';
    case 0x2010: case 0x2011: return '-';
    case 0x2012: case 0x2013: case 0x2014: case 0x2015: return '_';  // A dash between clauses.
    case 0x2022: case 0x25CF: case 0x25AA: return '*';
    case 0x00D7: return 'x';
    case 0x2026: return '.';
    default: return 0;
  }
}

bool ends_with(std::string_view word, std::string_view ending, std::size_t keep) {
  return word.size() >= ending.size() + keep && word.ends_with(ending);
}

bool has_vowel(std::string_view word) { return word.find_first_of("aeiouy") != std::string_view::npos; }

// "wrapp" becomes "wrap", "till" stays: doubled l, s and z belong to the word. True when a letter went.
bool undouble(std::string& word) {
  const auto n = word.size();
  if (n < 4 || word[n - 1] != word[n - 2]) return false;
  if (std::string_view("lsz").find(word[n - 1]) != std::string_view::npos) return false;
  word.pop_back();
  return true;
}

// Did "taped" and "gluing" lose an e with their ending? In words of three letters that is told by a
// vowel before the last letter, or by u at the end; longer ones lose their e anyway.
bool lost_an_e(std::string_view rest) {
  if (rest.size() != 3) return false;
  if (rest.back() == 'u') return true;
  return kVowels.find(rest[1]) != std::string_view::npos && kVowels.find(rest[2]) == std::string_view::npos &&
         std::string_view("wxy").find(rest[2]) == std::string_view::npos;
}

}  // namespace

std::vector<RawToken> split(std::string_view text) {
  std::vector<RawToken> tokens;
  tokens.reserve(text.size() / 5 + 4);
  bool space = true;
  std::size_t at = 0;
  const auto push = [&](RawToken::Kind kind, std::size_t begin, std::size_t end, char mark) {
    tokens.push_back({kind, static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(end), mark, space});
    space = false;
  };
  while (at < text.size()) {
    const char c = text[at];
    const std::size_t begin = at;
    if (is_digit(c)) {
      while (at < text.size() &&
             (is_digit(text[at]) || ((text[at] == '.' || text[at] == ',') && at + 1 < text.size() &&
                                     is_digit(text[at + 1]) && is_digit(text[at - 1]))))
        ++at;
      if (at - begin >= 2 && at < text.size() && text[at - 1] == '0' && text[at] == 's' &&
          (at + 1 == text.size() || !is_ascii_letter(text[at + 1])))
        ++at;  // "1950s", "50s"
      push(RawToken::Kind::number, begin, at, 0);
      continue;
    }
    const Point p = point_at(text, at);
    if (is_letter(p)) {
      while (at < text.size()) {
        if (is_ascii_letter(text[at])) {
          ++at;
          continue;
        }
        const Point q = point_at(text, at);
        if (is_letter(q)) {
          at += q.length;
        } else if (is_apostrophe(q.value) && at + q.length < text.size() && at > begin &&
                   is_letter(point_at(text, at + q.length))) {
          at += q.length;
        } else {
          break;
        }
      }
      if (at - begin == 1 && (c == 'w' || c == 'W') && at < text.size() && text[at] == '/') {
        ++at;
        if (at < text.size() && (text[at] == 'o' || text[at] == 'O') &&
            (at + 1 == text.size() || !is_ascii_letter(text[at + 1])))
          ++at;
      }
      push(RawToken::Kind::word, begin, at, 0);
      continue;
    }
    at += p.length;
    const char mark = p.value < 0 ? 0 : plain_mark(p.value);
    if (mark == 'x') {
      push(RawToken::Kind::word, begin, at, 0);  // The multiplication sign reads as the letter.
    } else if (mark != 0) {
      push(RawToken::Kind::mark, begin, at, mark);
      if (mark == '\n') space = true;
    } else {
      space = true;
    }
  }
  return tokens;
}

std::string fold(std::string_view word) {
  std::string out;
  out.reserve(word.size());
  for (std::size_t at = 0; at < word.size();) {
    const auto byte = static_cast<unsigned char>(word[at]);
    if (byte < 0x80) {
      out += (byte >= 'A' && byte <= 'Z') ? static_cast<char>(byte + 32) : static_cast<char>(byte);
      ++at;
      continue;
    }
    const Point p = point_at(word, at);
    at += p.length;
    if (p.value < 0) continue;
    if (is_apostrophe(p.value)) {
      out += '\'';
      continue;
    }
    if (p.value == 0xD7) {
      out += 'x';
      continue;
    }
    std::array<utf8proc_int32_t, 16> parts{};
    int boundary = 0;
    const auto n = utf8proc_decompose_char(
        p.value, parts.data(), static_cast<utf8proc_ssize_t>(parts.size()),
        static_cast<utf8proc_option_t>(UTF8PROC_DECOMPOSE | UTF8PROC_COMPAT | UTF8PROC_CASEFOLD |
                                       UTF8PROC_STRIPMARK),
        &boundary);
    for (utf8proc_ssize_t i = 0; i < n && i < static_cast<utf8proc_ssize_t>(parts.size()); ++i) {
      std::array<utf8proc_uint8_t, 4> bytes{};
      const auto length = utf8proc_encode_char(parts[static_cast<std::size_t>(i)], bytes.data());
      out.append(reinterpret_cast<const char*>(bytes.data()), static_cast<std::size_t>(length));
    }
  }
  return out;
}

std::string stem(std::string_view folded_word) {
  std::string w(folded_word);
  if (ends_with(w, "'s", 1)) w.resize(w.size() - 2);
  if (w.size() < 4 || (w[0] >= '0' && w[0] <= '9')) return w;
  if (ends_with(w, "ies", 2)) {
    w.replace(w.size() - 3, 3, "y");
  } else if (ends_with(w, "sses", 1) || ends_with(w, "xes", 2) || ends_with(w, "ches", 2) ||
             ends_with(w, "shes", 2)) {
    w.resize(w.size() - 2);
  } else if (w.back() == 's' && !w.ends_with("ss") && !w.ends_with("us") && !w.ends_with("is")) {
    w.pop_back();
  }
  for (const std::string_view ending : {std::string_view("ing"), std::string_view("ed")}) {
    if (!ends_with(w, ending, 3)) continue;
    std::string rest = w.substr(0, w.size() - ending.size());
    if (!has_vowel(rest)) continue;
    const bool doubled = undouble(rest);
    if (!doubled && lost_an_e(rest)) rest += 'e';
    w = std::move(rest);
    break;
  }
  // Not from four letters: "note" is not "not".
  if (w.size() > 4 && w.back() == 'e') w.pop_back();
  if (w.size() > 3 && w.back() == 'y') w.back() = 'i';
  return w;
}

std::string sound_key(std::string_view w) {
  std::string out;
  const auto next_is = [&](std::size_t i, std::string_view any) {
    return i + 1 < w.size() && any.find(w[i + 1]) != std::string_view::npos;
  };
  for (std::size_t i = 0; i < w.size(); ++i) {
    const char c = w[i];
    if (i > 0 && c == w[i - 1] && kVowels.find(c) == std::string_view::npos) continue;
    switch (c) {
      case 'b': case 'p':
        if (c == 'p' && next_is(i, "h")) {
          out += 'F';
          ++i;
        } else {
          out += 'P';
        }
        break;
      case 'f': case 'v': out += 'F'; break;
      case 'd': case 't':
        if (next_is(i, "h")) ++i;
        out += 'T';
        break;
      case 'c':
        if (next_is(i, "eiy")) {
          out += 'S';
        } else if (next_is(i, "h")) {
          const bool hard = i + 2 < w.size() && (w[i + 2] == 'r' || w[i + 2] == 'l');  // "chrysotile"
          out += hard ? 'K' : 'X';
          ++i;
        } else if (!next_is(i, "k")) {
          out += 'K';
        }
        break;
      case 'g':
        if (next_is(i, "h")) {
          ++i;  // "light": silent.
        } else if (!(next_is(i, "n") && i == 0)) {
          out += 'K';
        }
        break;
      case 'k': case 'q':
        if (!(c == 'k' && i == 0 && next_is(i, "n"))) out += 'K';
        break;
      case 'j': out += 'J'; break;
      case 'l': out += 'L'; break;
      case 'm': out += 'M'; break;
      case 'n': out += 'N'; break;
      case 'r': out += 'R'; break;
      case 's':
        if (next_is(i, "h")) {
          out += 'X';
          ++i;
        } else if (!(next_is(i, "c") && i + 2 < w.size() &&
                     std::string_view("ei").find(w[i + 2]) != std::string_view::npos)) {
          out += 'S';
        }
        break;
      case 'z': out += 'S'; break;
      case 'x': out += "KS"; break;
      default: break;
    }
  }
  return out;
}

int edit_distance(std::string_view a, std::string_view b, int limit) {
  const auto n = a.size();
  const auto m = b.size();
  constexpr std::size_t kLongest = 40;
  if (n > kLongest || m > kLongest) return a == b ? 0 : limit + 1;
  if ((n > m ? n - m : m - n) > static_cast<std::size_t>(limit)) return limit + 1;
  std::array<std::array<int, kLongest + 1>, 3> rows{};
  auto *before = &rows[0], *previous = &rows[1], *current = &rows[2];
  for (std::size_t j = 0; j <= m; ++j) (*previous)[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= n; ++i) {
    (*current)[0] = static_cast<int>(i);
    int best = (*current)[0];
    for (std::size_t j = 1; j <= m; ++j) {
      const int cost = a[i - 1] == b[j - 1] ? 0 : 1;
      int value = std::min({(*previous)[j] + 1, (*current)[j - 1] + 1, (*previous)[j - 1] + cost});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        value = std::min(value, (*before)[j - 2] + 1);
      (*current)[j] = value;
      best = std::min(best, value);
    }
    if (best > limit) return limit + 1;
    auto* reuse = before;
    before = previous;
    previous = current;
    current = reuse;
  }
  return std::min((*previous)[m], limit + 1);
}

bool valid_utf8(std::string_view text, std::size_t* bad_at) {
  for (std::size_t at = 0; at < text.size();) {
    // Eight plain bytes at once.
    std::uint64_t eight = 0x80;
    if (text.size() - at >= sizeof eight) std::memcpy(&eight, text.data() + at, sizeof eight);
    if ((eight & 0x8080'8080'8080'8080u) == 0) {
      at += sizeof eight;
      continue;
    }
    const Point p = point_at(text, at);
    if (p.value < 0) {
      if (bad_at != nullptr) *bad_at = at;
      return false;
    }
    at += p.length;
  }
  return true;
}

std::string to_valid_utf8(std::string_view text) {
  if (valid_utf8(text)) return std::string(text);
  std::string out;
  out.reserve(text.size() + 16);
  for (std::size_t at = 0; at < text.size();) {
    const Point p = point_at(text, at);
    if (p.value < 0) {
      out += "\xEF\xBF\xBD";
    } else {
      out.append(text.substr(at, p.length));
    }
    at += p.length;
  }
  return out;
}

std::string single_blanks(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const bool blank = c == ' ' || c == '\n' || c == '\r' || c == '\t';
    if (blank && (out.empty() || out.back() == ' ')) continue;
    out += blank ? ' ' : c;
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

std::string filled(std::string text, std::string_view slot, std::string_view value) {
  const std::size_t at = text.find(slot);
  if (at != std::string::npos) text.replace(at, slot.size(), value);
  return text;
}

int count_words(std::string_view text) {
  int count = 0;
  int blank_before = 1;
  for (const char c : text) {
    const int blank = (c == ' ') | (c == '\n') | (c == '\t') | (c == '\r');
    count += blank_before & (blank ^ 1);
    blank_before = blank;
  }
  return count;
}

}  // namespace kb
