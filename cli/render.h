// Articles as text for people: Markdown laid out for a terminal or a plain file. No I/O, no state.
#pragma once

#include <string>
#include <string_view>

#include "cli/terminal.h"

namespace cli {

// `markdown` (CommonMark, UTF-8, without front matter) as wrapped lines.
//
// Lines fill terminal.width columns on a terminal and 80 elsewhere. A word is never cut, so a long
// one may stick out; code blocks are not wrapped. Runs of blanks in running text become one.
// Blocks are one empty line apart, items and blocks of a tight list none. No line ends in a blank,
// the first line is never empty, and the text ends in one newline. Nothing to show gives "".
//
// Without color, headings are underlined with "=", "-" or "~" and other styles leave no mark.
// A link is its text, then its target in parentheses unless they are the same; so is an image.
// Code is shown without its backticks. HTML is dropped. Controls and invalid bytes, also those
// written as entities, are shown as by sanitize_for_terminal().
// Margins stop growing at half the width, which also bounds what deep nesting can cost.
//
// Never throws for any input. cmark 0.30 needs quadratic time for a few hostile inputs, so callers
// should not pass foreign text beyond 64 kB.
std::string render_markdown(std::string_view markdown, const Terminal& terminal);

}  // namespace cli
