// cli/render.h and the terminal habits of cli/terminal.h it stands on.
#include "cli/render.h"

#include <doctest/doctest.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdlib>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "cli/terminal.h"

namespace {

constexpr cli::Terminal kPipe{false, false, 80};
constexpr cli::Terminal kColor{true, true, 80};

cli::Terminal narrow(int width) { return {true, false, width}; }

std::string repeated(std::string_view text, int times) {
  std::string all;
  for (int i = 0; i < times; ++i) all += text;
  return all;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

// Sets one environment variable, or removes it (null), until the end of the scope.
class Environment {
 public:
  Environment(const char* name, const char* value) : name_(name) {
    const char* before = std::getenv(name);
    had_ = before != nullptr;
    if (had_) before_ = before;
    set(value);
  }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;
  ~Environment() { set(had_ ? before_.c_str() : nullptr); }

 private:
  void set(const char* value) {
    if (value != nullptr) {
      setenv(name_, value, 1);
    } else {
      unsetenv(name_);
    }
  }

  const char* name_;
  bool had_ = false;
  std::string before_;
};

struct Rendered {
  const char* markdown;
  const char* text;
};

}  // namespace

TEST_CASE("each kind of block has one plain form") {
  const Rendered cases[] = {
      {"one\n\n\n\ntwo", "one\n\ntwo\n"},
      {"# Top\n## Next\n### Deep\ntext", "Top\n===\n\nNext\n----\n\nDeep\n~~~~\n\ntext\n"},
      {"- a\n- b\n  - c", "- a\n- b\n  - c\n"},
      {"- a\n\n- b", "- a\n\n- b\n"},
      {"- a\n\n  more\n- b", "- a\n\n  more\n\n- b\n"},
      {"9. nine\n10. ten", "9.  nine\n10. ten\n"},
      {"3) three", "3) three\n"},
      {"- a\n\n* other list", "- a\n\n- other list\n"},
      {"- - x", "- - x\n"},
      {"> said\n>\n> - a\n> - b\n\nafter", "| said\n|\n| - a\n| - b\n\nafter\n"},
      {"> > deep\n>\n> back", "| | deep\n|\n| back\n"},
      {"- > quoted\n  > on", "- | quoted on\n"},
      {"a\n\n---\n\nb", "a\n\n* * *\n\nb\n"},
      {"```\nx  \n\n\n\ty\n```", "    x\n\n\n        y\n"},
      {"soft\nbreak", "soft break\n"},
      {"hard  \nbreak\\\nagain", "hard\nbreak\nagain\n"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.markdown);
    CHECK(cli::render_markdown(c.markdown, kPipe) == c.text);
  }
}

TEST_CASE("styles leave no mark in plain text and links show where they lead once") {
  const Rendered cases[] = {
      {"**Asphalt tile**: *darker*, `as is`", "Asphalt tile: darker, as is\n"},
      {"[the rule](https://example.org/a).", "the rule (https://example.org/a).\n"},
      {"<https://example.org/a>", "https://example.org/a\n"},
      {"<who@example.org>", "who@example.org\n"},
      {"[`black-mastic`](black-mastic)", "black-mastic\n"},
      {"`black-mastic`", "black-mastic\n"},
      {"[*two*\nwords](two%20words)", "two words (two%20words)\n"},
      {"[](empty-text)", "(empty-text)\n"},
      {"[no target]()", "no target\n"},
      {"[]()", ""},
      {"![a tile](tile.png)", "a tile (tile.png)\n"},
      {"[![in](in.png)](out)", "in (in.png) (out)\n"},
      {"1 < 2 &amp; 3", "1 < 2 & 3\n"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.markdown);
    CHECK(cli::render_markdown(c.markdown, kPipe) == c.text);
  }
}

TEST_CASE("nothing to show gives nothing and leaves no gap behind") {
  const Rendered cases[] = {
      {"", ""},
      {" \n\t\n", ""},
      {"<!-- note -->", ""},
      {"<div>\nx\n</div>", ""},
      {"#", ""},
      {"## <b></b>", ""},
      {">", ""},
      {"> <!-- x -->", ""},
      {"```\n\n \n```", ""},
      {"[a]: /unused", ""},
      {"a\n\n<!-- x -->\n\nb", "a\n\nb\n"},
      {"<!-- x -->\n\nb", "b\n"},
      {"a <b>bold</b> c", "a bold c\n"},
      {"-", "-\n"},
      {"- <!-- x -->\n- b", "-\n- b\n"},
      {"- a\n-\n- >\n- b", "- a\n-\n-\n- b\n"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.markdown);
    CHECK(cli::render_markdown(c.markdown, kPipe) == c.text);
  }
  CHECK(cli::render_markdown(std::string_view(), kPipe).empty());
}

TEST_CASE("lines fill the terminal by display width and words are never cut") {
  CHECK(cli::render_markdown("aa bb cc", narrow(5)) == "aa bb\ncc\n");
  CHECK(cli::render_markdown("aa bb cc", narrow(4)) == "aa\nbb\ncc\n");
  CHECK(cli::render_markdown("- aa bb cc", narrow(7)) == "- aa bb\n  cc\n");
  CHECK(cli::render_markdown("> aa bb cc", narrow(7)) == "| aa bb\n| cc\n");
  CHECK(cli::render_markdown("a incompressible b", narrow(5)) == "a\nincompressible\nb\n");
  CHECK(cli::render_markdown("**aa**bb cc", narrow(4)) == "aabb\ncc\n");
  CHECK(cli::render_markdown("石綿 石綿", narrow(8)) == "石綿\n石綿\n");
  CHECK(cli::render_markdown("石綿 石綿", narrow(9)) == "石綿 石綿\n");
  CHECK(cli::render_markdown("e\u0301e\u0301 b", narrow(4)) == "e\u0301e\u0301 b\n");
  CHECK(cli::render_markdown("a\u00A0b c", narrow(3)) == "a\u00A0b\nc\n");
  CHECK(cli::render_markdown("# aa bb", narrow(3)) == "aa\nbb\n==\n");
  CHECK(cli::render_markdown("a b", narrow(0)) == "a\nb\n");
  CHECK(cli::render_markdown("- a b", narrow(-5)) == "a\nb\n");
}

TEST_CASE("a pipe gets 80 columns and no escape codes whatever its window was") {
  const cli::Terminal pipe{false, false, 40};
  const std::string text = cli::render_markdown(repeated("word ", 40), pipe);
  CHECK(lines_of(text).front().size() == 79);
  CHECK(text.find('\033') == std::string::npos);
}

TEST_CASE("color marks headings, strong, emphasis and links, and is switched off on each line") {
  const Rendered cases[] = {
      {"# T", "\033[1;36mT\033[22;39m\n"},
      {"### T", "\033[1mT\033[22m\n"},
      {"**a b** c", "\033[1ma b\033[22m c\n"},
      {"*a*b", "\033[3ma\033[23mb\n"},
      {"[a b](c)", "\033[4ma b\033[24m \033[2m(c)\033[22m\n"},
      {"***a***", "\033[1m\033[3ma\033[23m\033[22m\n"},
      {"**a\\\nb**", "\033[1ma\033[22m\n\033[1mb\033[22m\n"},
      {"plain", "plain\n"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.markdown);
    CHECK(cli::render_markdown(c.markdown, kColor) == c.text);
  }
}

TEST_CASE("an article cannot drive the terminal, not even through entities") {
  const Rendered cases[] = {
      {"a\033[31mb", "a\uFFFD[31mb\n"},
      {"a&#27;[31mb", "a\uFFFD[31mb\n"},
      {"`\033c`", "\uFFFDc\n"},
      {"    \033c", "    \uFFFDc\n"},
      {"[a](<b\033c>)", "a (b\uFFFDc)\n"},
      {"[a](b&#7;)", "a (b\uFFFD)\n"},
      {"a\xC2\x9B"
       "31m",
       "a\uFFFD31m\n"},
      {"a\xFFz", "a\uFFFDz\n"},
      {"a&#10;&#10;b&#32;", "a b\n"},
      {"a&#0;b", "a\uFFFDb\n"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.markdown);
    CHECK(cli::render_markdown(c.markdown, kPipe) == c.text);
  }
  CHECK(cli::render_markdown(std::string_view("a\0b", 3), kPipe) == "a\uFFFDb\n");
}

TEST_CASE("hostile and damaged input ends soon and keeps the promises about blanks") {
  const std::string inputs[] = {
      repeated(">", 30000) + repeated("a\n", 16000),
      repeated("- ", 30000) + "x",
      repeated("- ", 30000) + "x\n\n" + repeated(" ", 60000) + "y",
      repeated("*a **b ", 9000),
      repeated("![", 9000) + "x" + repeated("](y)", 9000),
      repeated("![[]()", 5000),
      repeated("1. a\n   ", 300),
      repeated("> - ", 40) + "x  \ny\n\n" + repeated(" ", 8) + "code \t \n",
      "- a\n\n      code  \n\n  > q\n\n  ***\n- # h\n- ```\n",
      "&#32;a&#32;&#9;\n\n# &#32; \n\n` `\n",
  };
  for (const std::string& input : inputs) {
    CAPTURE(input.substr(0, 40));
    for (const cli::Terminal& terminal : {kPipe, kColor, narrow(40)}) {
      const std::string text = cli::render_markdown(input, terminal);
      REQUIRE(!text.empty());
      CHECK(text.front() != '\n');
      CHECK(text.back() == '\n');
      CHECK(!text.ends_with("\n\n"));
      CHECK(text.find(" \n") == std::string::npos);
      CHECK(text.find("\n\n\n") == std::string::npos);
    }
  }
}

TEST_CASE("deep nesting leaves half the width for the words") {
  const std::string text = cli::render_markdown(repeated("> ", 500) + "word", narrow(40));
  CHECK(text == repeated("| ", 10) + "word\n");
}

TEST_CASE("sanitizing shows what drives a terminal and leaves the rest alone") {
  const Rendered cases[] = {
      {"", ""},
      {"tab\tand\nnewline stay", "tab\tand\nnewline stay"},
      {"½ inch – 石綿 e\u0301 \U0001F3E0", "½ inch – 石綿 e\u0301 \U0001F3E0"},
      {"\033[2J", "\uFFFD[2J"},
      {"a\rb\bc\a", "a\uFFFDb\uFFFDc\uFFFD"},
      {"\x7F", "\uFFFD"},
      {"\xC2\x80\xC2\x9F\xC2\xA0", "\uFFFD\uFFFD\xC2\xA0"},
      {"caf\xE9", "caf\uFFFD"},                // Latin-1.
      {"\xE7\x9F", "\uFFFD\uFFFD"},            // Cut short: one for each byte.
      {"\xC0\x9B", "\uFFFD\uFFFD"},            // An overlong ESC.
      {"\xED\xA0\x80", "\uFFFD\uFFFD\uFFFD"},  // A surrogate.
      {"\xF4\x90\x80\x80x", "\uFFFD\uFFFD\uFFFD\uFFFDx"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.text);
    CHECK(cli::sanitize_for_terminal(c.markdown) == c.text);
  }
  CHECK(cli::sanitize_for_terminal(std::string_view("\0", 1)) == "\uFFFD");
}

TEST_CASE("display width counts columns and not bytes") {
  CHECK(cli::display_width("") == 0);
  CHECK(cli::display_width("tile") == 4);
  CHECK(cli::display_width("石綿") == 4);
  CHECK(cli::display_width("e\u0301") == 1);
  CHECK(cli::display_width("½") == 1);
  CHECK(cli::display_width("\xFF\xFF") == 2);
}

TEST_CASE("styles are plain text without color and nest with it") {
  CHECK(cli::bold("a", kPipe) == "a");
  CHECK(cli::warning("a", kPipe) == "a");
  CHECK(cli::bold("", kColor).empty());
  CHECK(cli::bold(cli::underline("a", kColor), kColor) == "\033[1m\033[4ma\033[24m\033[22m");
  for (const auto style :
       {cli::bold, cli::dim, cli::italic, cli::underline, cli::heading, cli::warning}) {
    CHECK(style("a", kColor).starts_with("\033["));
    CHECK(style("a", kColor).ends_with("m"));
  }
}

TEST_CASE("a pipe is no terminal and takes its width from COLUMNS when that is a number") {
  int ends[2];
  REQUIRE(pipe(ends) == 0);
  const Environment term("TERM", "xterm");
  const Environment no_color("NO_COLOR", nullptr);
  struct Case {
    const char* columns;
    int width;
  };
  const Case cases[] = {{nullptr, 80}, {"", 80},     {"70", 70},         {"9", 40},
                        {"5000", 100}, {"-3", 80},   {"0", 80},          {"70x", 80},
                        {" 70", 80},   {"wide", 80}, {"99999999999", 80}};
  for (const auto& c : cases) {
    CAPTURE(c.columns);
    const Environment columns("COLUMNS", c.columns);
    const cli::Terminal terminal = cli::describe_terminal(ends[1]);
    CHECK(!terminal.tty);
    CHECK(!terminal.color);
    CHECK(terminal.width == c.width);
  }
  close(ends[0]);
  close(ends[1]);
  CHECK(!cli::describe_terminal(-1).tty);
}

TEST_CASE("a terminal has its window's width, and color unless asked otherwise") {
  winsize window{};
  window.ws_row = 24;
  window.ws_col = 72;
  int master = -1;
  int terminal = -1;
  if (openpty(&master, &terminal, nullptr, nullptr, &window) != 0) {
    MESSAGE("skipped: no pseudo-terminal here");
    return;
  }
  const Environment columns("COLUMNS", "50");
  struct Case {
    const char* term;
    const char* no_color;
    bool color;
  };
  const Case cases[] = {{"xterm", nullptr, true}, {"xterm", "", true},       {"xterm", "1", false},
                        {"dumb", nullptr, false}, {nullptr, nullptr, false}, {"", nullptr, false}};
  for (const auto& c : cases) {
    CAPTURE(c.term);
    CAPTURE(c.no_color);
    const Environment term("TERM", c.term);
    const Environment no_color("NO_COLOR", c.no_color);
    const cli::Terminal described = cli::describe_terminal(terminal);
    CHECK(described.tty);
    CHECK(described.color == c.color);
    CHECK(described.width == 72);
  }
  window.ws_col = 0;
  ioctl(terminal, TIOCSWINSZ, &window);
  CHECK(cli::describe_terminal(terminal).width == 50);
  close(master);
  close(terminal);
}
