// Drawings of pages: SVG in a small closed form, the only one that is set into a page of HTML.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace kb {

inline constexpr std::size_t kLargestDrawing = 6000;  // Bytes.
// The drawing stands below the text of this section.
inline constexpr std::string_view kDrawnSection = "How it looks";
inline constexpr std::string_view kSvgNamespace = "http://www.w3.org/2000/svg";

// What a drawing may be made of: elements, and attributes that shape, place or name. None of them can run,
// load or style anything outside of the drawing.
std::span<const std::string_view> drawing_elements();
std::span<const std::string_view> drawing_attributes();
// Is this one of the two colors that follow the page into light and dark?
bool drawing_color(std::string_view value);
// Does the value lead nowhere outside? Colors are looked at too.
bool drawing_value(std::string_view attribute, std::string_view value);

// What a drawing says to those who do not see it; runs of blanks made one.
struct DrawingText {
  std::string title, desc;
};

// The title and description of `svg`. Nothing when it is not in the closed form: elements and attributes as
// listed above and well nested, values in double quotes, no comment, declaration or other markup, so that
// readers of XML and of HTML see the same in it. A database file can come from anybody: what gives nothing
// here is not shown.
std::optional<DrawingText> text_of_drawing(std::string_view svg);

// `svg` as it is set into HTML: without the name of its namespace, which HTML knows. Empty when it is not in
// the closed form.
std::string drawing_html(const std::string& svg);

}  // namespace kb
