#include "kb/drawing.h"

#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "kb/text.h"

namespace kb {
namespace {

constexpr std::array<std::string_view, 13> kElements{"svg",  "g",      "title",   "desc", "path", "line", "polyline", "polygon",
                                                     "rect", "circle", "ellipse", "text", "tspan"};
constexpr std::array<std::string_view, 42> kAttributes{
    "xmlns", "viewBox", "role", "id", "aria-labelledby",                                                  // names
    "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height",      // shapes
    "dx", "dy", "transform",                                                                              // places
    "fill", "fill-opacity", "fill-rule", "opacity", "stroke", "stroke-width", "stroke-opacity",           // lines and areas
    "stroke-linecap", "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray", "stroke-dashoffset",
    "font-family", "font-size", "font-style", "font-weight", "text-anchor", "dominant-baseline", "letter-spacing"};  // letters

constexpr std::string_view kBlanks = " \t\n\r";
constexpr std::pair<std::string_view, char> kEntities[] = {{"&amp;", '&'}, {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}, {"&apos;", '\''}};

bool blank(char c) { return kBlanks.find(c) != std::string_view::npos; }

bool holds_folded(std::string_view text, std::string_view folded) { return fold(text).find(folded) != std::string::npos; }

// Reads a drawing from its first byte to its last; every step tells whether the form still holds.
class Reader {
 public:
  explicit Reader(std::string_view svg) : rest_(svg) {}

  std::optional<DrawingText> read() {
    if (rest_.size() > kLargestDrawing || !valid_utf8(rest_)) return {};
    skip_blanks();
    bool first = true;
    while (!rest_.empty()) {
      if (open_.empty() && !std::exchange(first, false)) return {};  // Something behind the root.
      if (!markup()) return {};
      if (open_.empty() ? (skip_blanks(), false) : !text()) return {};
    }
    if (first || !open_.empty()) return {};
    return DrawingText{one_line(title_), one_line(desc_)};
  }

 private:
  bool take(std::string_view text) {
    if (!rest_.starts_with(text)) return false;
    rest_.remove_prefix(text.size());
    return true;
  }

  bool skip_blanks() {
    const std::size_t before = rest_.size();
    while (!rest_.empty() && blank(rest_.front())) rest_.remove_prefix(1);
    return rest_.size() < before;
  }

  std::string_view name() {
    const auto part = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-'; };
    std::size_t size = 0;
    while (size < rest_.size() && part(rest_[size])) ++size;
    const std::string_view out = rest_.substr(0, size);
    rest_.remove_prefix(size);
    return out;
  }

  bool markup() {
    if (!take("<")) return false;
    if (take("/")) {
      if (open_.empty() || name() != open_.back()) return false;
      open_.pop_back();
      skip_blanks();
      return take(">");
    }
    const std::string_view element = name();
    const auto known = std::find(kElements.begin(), kElements.end(), element);
    // What stands in a title is HTML to a reader of HTML; there it is text alone.
    if (known == kElements.end() || in_words() || (element == "svg") != open_.empty()) return false;
    while (true) {
      const bool apart = skip_blanks();
      if (take("/>")) return !open_.empty();
      if (take(">")) break;
      if (!apart || !attribute()) return false;
    }
    open_.push_back(*known);
    return true;
  }

  bool attribute() {
    const std::string_view attribute = name();
    if (std::find(kAttributes.begin(), kAttributes.end(), attribute) == kAttributes.end() || !take("=\"")) return false;
    const std::size_t end = rest_.find('"');
    if (end == std::string_view::npos) return false;
    const std::string_view value = rest_.substr(0, end);
    rest_.remove_prefix(end + 1);
    return drawing_value(attribute, value);
  }

  bool in_words() const { return !open_.empty() && (open_.back() == "title" || open_.back() == "desc"); }

  bool text() {
    std::string words;
    while (!rest_.empty() && rest_.front() != '<') {
      if (rest_.front() != '&') {
        words += rest_.front();
        rest_.remove_prefix(1);
        continue;
      }
      const auto entity = std::find_if(std::begin(kEntities), std::end(kEntities), [&](const auto& e) { return rest_.starts_with(e.first); });
      if (entity == std::end(kEntities)) return false;
      words += entity->second;
      rest_.remove_prefix(entity->first.size());
    }
    if (in_words()) (open_.back() == "title" ? title_ : desc_) += words;
    return true;
  }

  static std::string one_line(std::string_view text) {
    std::string out;
    bool gap = false;
    for (const char c : text) {
      if (blank(c)) {
        gap = !out.empty();
        continue;
      }
      if (std::exchange(gap, false)) out += ' ';
      out += c;
    }
    return out;
  }

  std::string_view rest_;
  std::vector<std::string_view> open_;
  std::string title_, desc_;
};

}  // namespace

std::span<const std::string_view> drawing_elements() { return kElements; }
std::span<const std::string_view> drawing_attributes() { return kAttributes; }

bool drawing_color(std::string_view value) { return value == "currentColor" || value == "none"; }

bool drawing_value(std::string_view attribute, std::string_view value) {
  if (attribute == "xmlns") return value == kSvgNamespace;
  if (attribute == "fill" || attribute == "stroke") return drawing_color(value);
  // A backslash could spell what is looked for in another way.
  return value.find_first_of("<>&:\\@") == std::string_view::npos && !holds_folded(value, "url");
}

std::optional<DrawingText> text_of_drawing(std::string_view svg) { return Reader(svg).read(); }

std::string drawing_html(const std::string& svg) {
  if (!text_of_drawing(svg)) return {};
  std::string out = svg;
  const std::string name = " xmlns=\"" + std::string(kSvgNamespace) + "\"";
  if (const std::size_t at = out.find(name); at != std::string::npos) out.erase(at, name.size());
  return out;
}

}  // namespace kb
