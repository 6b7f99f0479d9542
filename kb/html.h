// Articles as HTML. Raw HTML and unsafe links in the markdown are dropped (cmark's default).
#pragma once

#include <string>
#include <string_view>

#include "kb/articles.h"

namespace kb {

// `text` with & < > and double quotes as entities.
std::string escape_html(std::string_view text);

// A whole page around `main`, with `style` behind the common style. Scripts and outside references have
// no place in it. `title` is escaped here, `main` is HTML already. The standing limits stand below.
std::string html_page(const std::string& title, const std::string& main, std::string_view style, const std::string& corpus_version);

// Markdown of ours as HTML; raw HTML in it is dropped.
std::string markdown_to_html(const std::string& markdown);

// A drawing with its title below it; empty when it is not in the form of kb/drawing.h.
std::string figure(const std::string& drawing);

// One article as a whole HTML page without scripts or outside references; empty when nothing in it is
// meant for `reader`. `corpus_version` is printed below it, beside the standing limits.
std::string article_html(const Article& article, Reader reader, const std::string& corpus_version);

}  // namespace kb
