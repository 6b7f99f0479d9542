#include "kb/html.h"

#include <cmark.h>

#include <cstdlib>
#include <memory>

#include "kb/drawing.h"
#include "kb/limits.h"

namespace kb {
namespace {

// Plain, prints well, follows the reader's dark setting.
constexpr std::string_view kStyle =
    "body{font:1.05rem/1.5 system-ui,sans-serif;max-width:42rem;margin:1.5rem auto;padding:0 1rem}"
    "h1{font-size:1.6rem;line-height:1.2}h2{font-size:1.2rem;margin-top:1.6rem}h3{font-size:1rem}"
    "footer{margin-top:2rem;border-top:1px solid;padding-top:.5rem;font-size:.9rem}"
    "figure{margin:1rem 0}figure svg{display:block;width:100%;max-width:26rem;height:auto}figcaption{font-size:.9rem;margin-top:.4rem}"
    "@media(prefers-color-scheme:dark){body{background:#161616;color:#eee}a{color:#9cf}}";

struct Free {
  void operator()(char* p) const noexcept { std::free(p); }
};

}  // namespace

std::string markdown_to_html(const std::string& markdown) {
  const std::unique_ptr<char, Free> html(cmark_markdown_to_html(markdown.data(), markdown.size(), CMARK_OPT_DEFAULT));
  return html ? std::string(html.get()) : std::string();
}

std::string escape_html(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += "&quot;"; break;
      default: out += c;
    }
  }
  return out;
}

std::string figure(const std::string& drawing) {
  const auto told = text_of_drawing(drawing);
  if (!told) return {};
  return "<figure>\n" + drawing_html(drawing) + "\n<figcaption>" + escape_html(told->title) + "</figcaption>\n</figure>\n";
}

std::string article_html(const Article& article, Reader reader, const std::string& corpus_version) {
  const AroundDrawing parts = to_markdown_around_drawing(article, reader);
  if (parts.above.empty()) return {};
  std::string main = markdown_to_html(parts.above);
  if (parts.shown) main += figure(article.drawing);
  return html_page(article.title, main + markdown_to_html(parts.below), {}, corpus_version);
}

std::string html_page(const std::string& title, const std::string& main, std::string_view style, const std::string& corpus_version) {
  return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
         "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<title>" +
         escape_html(title) + "</title>\n<style>" + std::string(kStyle) + std::string(style) + "</style>\n</head>\n<body>\n<main>\n" +
         main + "</main>\n<footer>" + escape_html(kStandingLimits) + " letbe corpus " +
         escape_html(corpus_version) + ".</footer>\n</body>\n</html>\n";
}

}  // namespace kb
