#include "indexer/plain_yaml.h"

#include <algorithm>
#include <utility>
#include <vector>

namespace indexer {
namespace {

// Deeper than any page goes; the reader below calls itself.
constexpr int kDeepest = 16;

bool is_letter_or_digit(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

bool is_key(std::string_view text) {
  return !text.empty() && is_letter_or_digit(text.front()) && std::all_of(text.begin(), text.end(), [](char c) {
    return is_letter_or_digit(c) || c == '-' || c == '_';
  });
}

// Where one of `signs` first stands in `text` from `at` on, or its end. The library's own search looks
// `signs` through for each letter.
template <std::size_t N>
std::size_t first_of(std::string_view text, const char (&signs)[N], std::size_t at = 0) {
  for (; at < text.size(); ++at)
    for (std::size_t i = 0; i + 1 < N; ++i)
      if (text[at] == signs[i]) return at;
  return text.size();
}

// Words that YAML reads as nothing at all.
bool is_null(std::string_view text) { return text == "null" || text == "Null" || text == "NULL"; }

// A line without its indent.
struct Line {
  std::size_t indent = 0;
  std::string_view text;
  int number = 0;
};

// Reads what stands in one line. Each function moves `at_` behind what it read; false: not plain.
class LineReader {
 public:
  LineReader(std::string_view text, Place place) : text_(text), place_(place) {}

  // A value that takes the whole line.
  bool whole(Value& out) { return value(out, false, 0) && at_ == text_.size(); }

 private:
  bool value(Value& out, bool inside, int depth) {
    out.place = place_;
    if (at_ >= text_.size() || depth > kDeepest) return false;
    const char c = text_[at_];
    if (c == '[') return list(out, depth);
    if (c == '{') return map(out, depth);
    if (c == '"' || c == '\'') return quoted(out, c);
    return plain(out, inside);
  }

  void skip_blanks() { at_ = std::min(text_.find_first_not_of(' ', at_), text_.size()); }
  bool take(char c) {
    if (at_ >= text_.size() || text_[at_] != c) return false;
    ++at_;
    return true;
  }

  bool quoted(Value& out, char quote) {
    const std::size_t end = text_.find(quote, at_ + 1);
    if (end == std::string_view::npos) return false;
    const std::string_view inner = text_.substr(at_ + 1, end - at_ - 1);
    at_ = end + 1;
    // Two single quotes stand for one.
    if (inner.find('\\') != std::string_view::npos || (at_ < text_.size() && text_[at_] == quote)) return false;
    out.kind = Value::Kind::text;
    out.quoted = true;
    out.text = inner;
    return true;
  }

  // `inside` brackets a comma ends it.
  bool plain(Value& out, bool inside) {
    const std::size_t begin = at_;
    if (!is_letter_or_digit(text_[begin]) && text_[begin] != '(') return false;
    at_ = inside ? first_of(text_, ",]}", begin) : text_.size();
    std::string_view words = text_.substr(begin, at_ - begin);
    if (inside) {
      if (first_of(words, "[{?:\"") < words.size()) return false;
      words.remove_suffix(words.size() - 1 - words.find_last_not_of(' '));
    } else if (words.back() == ':' || words.back() == ' ' || words.find(": ") != std::string_view::npos) {
      return false;
    }
    if (is_null(words)) return false;
    out.kind = Value::Kind::text;
    out.text = words;
    return true;
  }

  bool list(Value& out, int depth) {
    out.kind = Value::Kind::list;
    ++at_;
    skip_blanks();
    if (take(']')) return true;
    do {
      skip_blanks();
      if (!value(out.items.emplace_back(), true, depth + 1)) return false;
      skip_blanks();
    } while (take(','));
    return take(']');
  }

  bool map(Value& out, int depth) {
    out.kind = Value::Kind::map;
    ++at_;
    skip_blanks();
    if (take('}')) return true;
    do {
      skip_blanks();
      const std::size_t end = std::min(text_.find(':', at_), text_.size());
      const std::string_view key = text_.substr(at_, end - at_);
      if (!is_key(key) || is_null(key) || out.find(key) != nullptr) return false;
      at_ = end;
      if (!take(':') || !take(' ')) return false;
      skip_blanks();
      Member& member = out.members.emplace_back();
      member.key = key;
      member.place = place_;
      if (!value(member.value, true, depth + 1)) return false;
      skip_blanks();
    } while (take(','));
    return take('}');
  }

  std::string_view text_;
  Place place_;
  std::size_t at_ = 0;
};

class BlockReader {
 public:
  explicit BlockReader(Place first) : first_(first) {}

  bool read(std::string_view text, Value& out) {
    return lines_of(text) && !lines_.empty() && lines_[0].indent == 0 && map(out, 0, 0) && at_ == lines_.size();
  }

 private:
  bool lines_of(std::string_view text) {
    // A comment mark or a tab is never plain, whatever it means where it stands.
    if (first_of(text, "#\t\r") < text.size()) return false;
    int number = 0;
    for (std::size_t at = 0; at < text.size(); ++number) {
      const std::size_t end = std::min(text.find('\n', at), text.size());
      const std::string_view line = text.substr(at, end - at);
      const std::size_t indent = line.find_first_not_of(' ');
      if (indent == std::string_view::npos) return false;
      lines_.push_back({indent, line.substr(indent), first_.line + number});
      at = end + 1;
    }
    return true;
  }

  bool more(std::size_t indent) const { return at_ < lines_.size() && lines_[at_].indent == indent; }
  Place place() const { return {first_.file, lines_[at_].number}; }
  static bool is_item(std::string_view text) { return text.starts_with("- "); }

  // What begins on the line `at_`, at `indent`.
  bool block(Value& out, std::size_t indent, int depth) {
    if (depth > kDeepest) return false;
    return is_item(lines_[at_].text) ? list(out, indent, depth) : map(out, indent, depth);
  }

  bool list(Value& out, std::size_t indent, int depth) {
    out.kind = Value::Kind::list;
    out.place = place();
    while (more(indent)) {
      Line& line = lines_[at_];
      if (!is_item(line.text)) return false;
      const std::string_view rest = line.text.substr(2);
      Value& item = out.items.emplace_back();
      if (key_of(rest).empty()) {
        if (!value(item, rest, indent)) return false;
      } else {
        // A mapping whose first key stands behind the dash.
        line.text = rest;
        line.indent = indent + 2;
        if (!map(item, indent + 2, depth + 1)) return false;
      }
    }
    return at_ >= lines_.size() || lines_[at_].indent < indent;
  }

  bool map(Value& out, std::size_t indent, int depth) {
    out.kind = Value::Kind::map;
    out.place = place();
    while (more(indent)) {
      const std::string_view text = lines_[at_].text;
      const std::string_view key = key_of(text);
      if (key.empty() || is_null(key) || out.find(key) != nullptr) return false;
      Member& member = out.members.emplace_back();
      member.key = key;
      member.place = place();
      if (key.size() + 1 == text.size()) {
        ++at_;
        if (at_ >= lines_.size() || lines_[at_].indent <= indent) return false;
        if (!block(member.value, lines_[at_].indent, depth + 1)) return false;
      } else if (!value(member.value, text.substr(key.size() + 2), indent)) {
        return false;
      }
    }
    return at_ >= lines_.size() || lines_[at_].indent < indent;
  }

  // The key that `text` begins with; empty when it begins with none.
  static std::string_view key_of(std::string_view text) {
    const std::size_t colon = text.find(':');
    if (colon == std::string_view::npos) return {};
    const std::string_view key = text.substr(0, colon);
    const bool ends = colon + 1 == text.size() || text[colon + 1] == ' ';
    return ends && is_key(key) ? key : std::string_view();
  }

  // A value that ends with its line: a deeper line behind it would go on with it.
  bool value(Value& out, std::string_view text, std::size_t indent) {
    if (!LineReader(text, place()).whole(out)) return false;
    ++at_;
    return at_ >= lines_.size() || lines_[at_].indent <= indent;
  }

  Place first_;
  std::vector<Line> lines_;
  std::size_t at_ = 0;
};

}  // namespace

std::optional<Value> parse_plain_yaml(std::string_view text, Place first) {
  Value out;
  if (!BlockReader(first).read(text, out)) return {};
  return out;
}

}  // namespace indexer
