// What the place that receives our text can do, and the few styles used there.
//
// Each stream is described by itself: standard output may be a pipe while standard error is a
// terminal. No state.
#pragma once

#include <string>
#include <string_view>

namespace cli {

struct Terminal {
  bool tty = false;
  bool color = false;  // Whether any escape code may be written, not only colors.
  int width = 80;      // In columns, for running text.
};

// The stream open at `fd`. A closed or invalid descriptor is described like a pipe.
// Color needs a terminal, a TERM other than "dumb", and NO_COLOR unset or empty.
// The width is the window's, else COLUMNS when that is a positive number, else 80; it is held
// between 40 and 100, because longer lines are hard to read and shorter ones fall apart.
Terminal describe_terminal(int fd);

// `text` in that style, switched off again at its end. The same text when color is off or the text
// is empty. Styles nest. The text is not sanitized here.
std::string bold(std::string_view text, const Terminal& terminal);
std::string dim(std::string_view text, const Terminal& terminal);
std::string italic(std::string_view text, const Terminal& terminal);
std::string underline(std::string_view text, const Terminal& terminal);

// Color by meaning. The words must carry the meaning too: many readers never see the color.
std::string heading(std::string_view text, const Terminal& terminal);
std::string warning(std::string_view text, const Terminal& terminal);

// `text` made unable to drive a terminal: ESC and the other C0 controls except newline and tab,
// DEL, the C1 controls (U+0080 to U+009F), and each byte that is not valid UTF-8 become one U+FFFD.
// Everything else stays, byte for byte. The result is valid UTF-8; empty text gives empty text.
std::string sanitize_for_terminal(std::string_view text);

// Columns that `text` takes in one line: 2 for wide characters, 0 for combining marks and controls,
// 1 for each byte that is not valid UTF-8.
int display_width(std::string_view text);

}  // namespace cli
