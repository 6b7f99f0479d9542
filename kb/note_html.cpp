#include "kb/note_html.h"

#include "kb/html.h"

namespace kb {
namespace {

constexpr std::string_view kStyle =
    ".note{white-space:pre-wrap;overflow-wrap:anywhere;margin:0}"
    ".caution{border:1px solid;border-left-width:.4rem;padding:.4rem .8rem;margin:.6rem 0;break-inside:avoid}"
    ".caution h2{margin:0;font-size:1rem}.caution p{margin:.3rem 0}.stamp{font-size:.75rem;overflow-wrap:anywhere}";

// A stretch of the note; blank lines around a block are the block's margin.
std::string note_part(std::string_view text) {
  const std::size_t begin = text.find_first_not_of("\r\n");
  if (begin == std::string_view::npos) return {};
  const std::size_t end = text.find_last_not_of("\r\n");
  return "<p class=\"note\">" + escape_html(to_valid_utf8(text.substr(begin, end - begin + 1))) + "</p>\n";
}

}  // namespace

std::string note_html(const Attachment& a, const Knowledge& k, bool stamp) {
  const std::string_view base = a.base;
  std::string main = "<h1>Inspection note with asbestos cautions</h1>\n";
  std::size_t copied = 0;
  for (const PlacedBlock& b : a.placed) {
    main += note_part(base.substr(copied, b.anchor - copied));
    copied = b.anchor;
    main += "<section class=\"caution\"><h2>" + escape_html(k.wording.caption + b.title) + "</h2>\n<p>" + escape_html(b.paragraph) + "</p>";
    if (stamp) main += "\n<p class=\"stamp\">" + escape_html(stamp_of(b)) + "</p>";
    main += "</section>\n";
  }
  main += note_part(base.substr(copied));
  return html_page("Inspection note with asbestos cautions", main, kStyle, k.corpus_version);
}

}  // namespace kb
