#include "cli/render.h"

#include <cmark.h>

#include <algorithm>
#include <cstddef>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace cli {
namespace {

constexpr int kPlainWidth = 80;
constexpr std::string_view kBlanks = " \t\n";
constexpr std::string_view kCodeIndent = "    ";
constexpr std::size_t kTabStop = 4;

enum Style : unsigned { kPlain = 0, kBold = 1, kItalic = 2, kUnderline = 4, kDim = 8, kTitle = 16 };

struct Span {
  std::string text;
  unsigned style = kPlain;
};

struct Word {
  std::vector<Span> spans;  // Never empty: "**tile**:" is one word of two spans.
  int width = 0;
  bool starts_line = false;
};

struct Line {
  std::vector<Span> spans;
  int width = 0;
};

// The running text of one block, collected piece by piece and cut at blanks only.
class Words {
 public:
  void add(std::string_view text, unsigned style) {
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find_first_of(kBlanks, at), text.size());
      if (end > at) append(text.substr(at, end - at), style);
      if (end < text.size()) end_word();
      at = end + 1;
    }
  }
  void end_word() { open_ = false; }
  void break_line() {
    open_ = false;
    break_ = true;
  }
  std::vector<Word> take() {
    open_ = break_ = false;
    return std::exchange(words_, {});
  }

 private:
  void append(std::string_view text, unsigned style) {
    if (!open_) words_.emplace_back().starts_line = std::exchange(break_, false);
    open_ = true;
    words_.back().spans.push_back({std::string(text), style});
    words_.back().width += display_width(text);
  }

  std::vector<Word> words_;
  bool open_ = false;
  bool break_ = false;
};

void append(Line& line, std::string_view text, unsigned style, int width) {
  line.width += width;
  if (!line.spans.empty() && line.spans.back().style == style) {
    line.spans.back().text += text;
  } else {
    line.spans.push_back({std::string(text), style});
  }
}

std::vector<Line> fill(const std::vector<Word>& words, int width) {
  std::vector<Line> lines;
  for (const Word& word : words) {
    if (lines.empty() || word.starts_line || lines.back().width + 1 + word.width > width) {
      lines.emplace_back();
    } else {
      // The blank carries what both sides share, so that an underlined phrase is not interrupted.
      append(lines.back(), " ", lines.back().spans.back().style & word.spans.front().style, 1);
    }
    for (const Span& span : word.spans) append(lines.back(), span.text, span.style, 0);
    lines.back().width += word.width;
  }
  return lines;
}

std::string paint(const Line& line, const Terminal& terminal) {
  std::string painted;
  for (const Span& span : line.spans) {
    std::string text = span.text;
    if (span.style & kUnderline) text = underline(text, terminal);
    if (span.style & kItalic) text = italic(text, terminal);
    if (span.style & kBold) text = bold(text, terminal);
    if (span.style & kDim) text = dim(text, terminal);
    if (span.style & kTitle) text = heading(text, terminal);
    painted += text;
  }
  return painted;
}

std::string without_trailing_blanks(std::string line) {
  line.erase(line.find_last_not_of(kBlanks) + 1);
  return line;
}

std::string expand_tabs(std::string_view line) {
  std::string expanded;
  for (const char c : line) {
    if (c == '\t') {
      expanded.append(kTabStop - expanded.size() % kTabStop, ' ');
    } else {
      expanded += c;
    }
  }
  return expanded;
}

std::string marker_of(cmark_node* list, int number) {
  if (cmark_node_get_list_type(list) != CMARK_ORDERED_LIST) return "-";
  return std::to_string(number) +
         (cmark_node_get_list_delim(list) == CMARK_PAREN_DELIM ? ")" : ".");
}

std::string text_of(const char* literal) {
  return sanitize_for_terminal(literal != nullptr ? literal : "");
}

// Lays out one document. The tree is walked by cmark's iterator and an own stack of frames, because
// recursion would exhaust the machine's stack on thousands of nested quotes.
class Renderer {
 public:
  explicit Renderer(const Terminal& terminal)
      : terminal_(terminal), width_(terminal.tty ? terminal.width : kPlainWidth) {}

  std::string render(cmark_node* document) {
    const std::unique_ptr<cmark_iter, decltype(&cmark_iter_free)> walk(cmark_iter_new(document),
                                                                       cmark_iter_free);
    for (auto event = cmark_iter_next(walk.get()); event != CMARK_EVENT_DONE;
         event = cmark_iter_next(walk.get())) {
      cmark_node* node = cmark_iter_get_node(walk.get());
      if (cmark_node_get_type(node) >= CMARK_NODE_FIRST_INLINE) {
        visit_inline(node, event == CMARK_EVENT_ENTER);
      } else if (event == CMARK_EVENT_ENTER) {
        enter_block(node);
      } else {
        leave_block(node);
      }
    }
    return std::move(out_);
  }

 private:
  // A block that holds blocks: the document, a quote, a list or an item.
  struct Frame {
    std::string margin;                      // Before each line inside, but for an item's first.
    std::optional<std::string> outer_first;  // first_line_ as it was when the frame opened.
    bool tight = false;                      // No empty lines between the blocks directly inside.
    int next_number = 1;                     // Of a list: the number of its next item.
    std::size_t marker_width = 0;            // Of a list: its widest marker.
  };

  void enter_block(cmark_node* node) {
    switch (cmark_node_get_type(node)) {
      case CMARK_NODE_DOCUMENT:
        frames_.emplace_back();
        break;
      case CMARK_NODE_BLOCK_QUOTE:
        open_frame("| ", "| ");
        break;
      case CMARK_NODE_LIST:
        open_list(node);
        break;
      case CMARK_NODE_ITEM:
        open_item(node);
        break;
      case CMARK_NODE_HEADING:
        heading_style_ = cmark_node_get_heading_level(node) <= 2 ? kTitle : kBold;
        break;
      case CMARK_NODE_CODE_BLOCK:
        write_code(text_of(cmark_node_get_literal(node)));
        break;
      case CMARK_NODE_THEMATIC_BREAK:
        begin_block();
        write_line(dim("* * *", terminal_));
        break;
      default:  // A paragraph is written when its words are known; HTML is dropped.
        break;
    }
  }

  void leave_block(cmark_node* node) {
    switch (cmark_node_get_type(node)) {
      case CMARK_NODE_PARAGRAPH:
        write_words();
        break;
      case CMARK_NODE_HEADING:
        write_heading(cmark_node_get_heading_level(node));
        break;
      case CMARK_NODE_ITEM:
        if (first_line_) {  // An empty item still shows its marker.
          begin_block();
          write_line("");
        }
        close_frame();
        break;
      case CMARK_NODE_BLOCK_QUOTE:
      case CMARK_NODE_LIST:
        close_frame();
        break;
      default:
        break;
    }
  }

  void visit_inline(cmark_node* node, bool enter) {
    const int change = enter ? 1 : -1;
    switch (cmark_node_get_type(node)) {
      case CMARK_NODE_TEXT:
        add_text(text_of(cmark_node_get_literal(node)), style());
        break;
      case CMARK_NODE_CODE:
        add_text(text_of(cmark_node_get_literal(node)), style() | kBold);
        break;
      case CMARK_NODE_SOFTBREAK:
        add_text(" ", kPlain);
        break;
      case CMARK_NODE_LINEBREAK:
        words_.break_line();
        break;
      case CMARK_NODE_EMPH:
        emphasis_ += change;
        break;
      case CMARK_NODE_STRONG:
        strong_ += change;
        break;
      case CMARK_NODE_LINK:
      case CMARK_NODE_IMAGE:
        if (enter) link_starts_.push_back(shown_.size());
        if (!enter) finish_link(text_of(cmark_node_get_url(node)));
        break;
      default:  // HTML is dropped.
        break;
    }
  }

  void add_text(std::string_view text, unsigned style) {
    shown_ += text;
    words_.add(text, style);
  }

  void finish_link(std::string_view target) {
    const std::string_view text = std::string_view(shown_).substr(link_starts_.back());
    link_starts_.pop_back();
    constexpr std::string_view kMail = "mailto:";  // cmark puts it before <name@example.org>.
    if (target.starts_with(kMail)) target.remove_prefix(kMail.size());
    if (target.empty() || target == text) return;
    words_.end_word();
    words_.add("(" + std::string(target) + ")", kDim);
  }

  unsigned style() const {
    return heading_style_ | (strong_ > 0 ? kBold : kPlain) | (emphasis_ > 0 ? kItalic : kPlain) |
           (link_starts_.empty() ? kPlain : kUnderline);
  }

  void open_frame(const std::string& first, const std::string& rest) {
    Frame frame;
    frame.margin = frames_.back().margin;
    frame.outer_first = first_line_;
    const std::size_t most = static_cast<std::size_t>(std::max(width_, 0)) / 2;
    if (!rest.empty() && frame.margin.size() + rest.size() <= most) {
      first_line_ = first_line_.value_or(frame.margin) + first;
      frame.margin += rest;
    }
    frames_.push_back(std::move(frame));
  }

  void close_frame() {
    if (first_line_) first_line_ = frames_.back().outer_first;  // Nothing was written inside.
    frames_.pop_back();
    common_ = std::min(common_, frames_.size());
  }

  void open_list(cmark_node* list) {
    open_frame("", "");
    frames_.back().tight = cmark_node_get_list_tight(list) != 0;
    int number = cmark_node_get_list_start(list);
    frames_.back().next_number = number;
    for (auto* item = cmark_node_first_child(list); item != nullptr; item = cmark_node_next(item)) {
      const std::size_t width = marker_of(list, number++).size();
      frames_.back().marker_width = std::max(frames_.back().marker_width, width);
    }
  }

  void open_item(cmark_node* item) {
    Frame& list = frames_.back();
    const bool tight = list.tight;
    const std::size_t indent = list.marker_width + 1;
    std::string marker = marker_of(cmark_node_parent(item), list.next_number++);
    marker.resize(indent, ' ');
    open_frame(marker, std::string(indent, ' '));
    frames_.back().tight = tight;
  }

  // Sets a block apart from the one before it, with the margin of what holds them both.
  void begin_block() {
    const Frame& shared = frames_[common_ - 1];
    if (!out_.empty() && !shared.tight) out_ += without_trailing_blanks(shared.margin) + "\n";
    common_ = frames_.size();
  }

  void write_line(const std::string& text) {
    out_ += without_trailing_blanks(first_line_.value_or(frames_.back().margin) + text) + "\n";
    first_line_.reset();
  }

  // The width of the longest line written, 0 when there were no words.
  int write_words() {
    const int room = width_ - static_cast<int>(frames_.back().margin.size());
    const std::vector<Line> lines = fill(words_.take(), room);
    shown_.clear();
    if (!lines.empty()) begin_block();
    int longest = 0;
    for (const Line& line : lines) {
      write_line(paint(line, terminal_));
      longest = std::max(longest, line.width);
    }
    return longest;
  }

  void write_heading(int level) {
    const auto longest = static_cast<std::size_t>(write_words());
    heading_style_ = kPlain;
    if (terminal_.color || longest == 0) return;
    write_line(std::string(longest, level == 1 ? '=' : level == 2 ? '-' : '~'));
  }

  void write_code(std::string_view code) {
    std::size_t empty_lines = 0;  // Held back, so that none stands first or last.
    bool begun = false;
    while (!code.empty()) {
      const std::size_t end = std::min(code.find('\n'), code.size());
      const std::string line = without_trailing_blanks(expand_tabs(code.substr(0, end)));
      code.remove_prefix(std::min(end + 1, code.size()));
      if (line.empty()) {
        ++empty_lines;
        continue;
      }
      if (!begun) begin_block();
      for (; begun && empty_lines > 0; --empty_lines) write_line("");
      write_line(std::string(kCodeIndent) + line);
      begun = true;
      empty_lines = 0;
    }
  }

  const Terminal& terminal_;
  const int width_;
  std::string out_;
  std::vector<Frame> frames_;
  std::size_t common_ = 1;                 // Frames that stayed open since the last block.
  std::optional<std::string> first_line_;  // Margin and markers of an item not yet begun.
  Words words_;
  std::string shown_;  // The block's text so far, to compare a link's with its target.
  std::vector<std::size_t> link_starts_;  // Where the open links' texts start in shown_.
  unsigned heading_style_ = kPlain;
  int strong_ = 0;
  int emphasis_ = 0;
};

}  // namespace

std::string render_markdown(std::string_view markdown, const Terminal& terminal) {
  const std::unique_ptr<cmark_node, decltype(&cmark_node_free)> document(
      cmark_parse_document(markdown.data(), markdown.size(), CMARK_OPT_VALIDATE_UTF8),
      cmark_node_free);
  return Renderer(terminal).render(document.get());
}

}  // namespace cli
