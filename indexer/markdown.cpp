#include "indexer/markdown.h"

#include <cmark.h>

#include <algorithm>
#include <memory>
#include <string_view>
#include <utility>

#include "indexer/timing.h"
#include "indexer/value_checks.h"

namespace indexer {
namespace {

struct FreeNode {
  void operator()(cmark_node* node) const noexcept { cmark_node_free(node); }
};
struct FreeIterator {
  void operator()(cmark_iter* iterator) const noexcept { cmark_iter_free(iterator); }
};

std::string_view or_empty(const char* text) { return text == nullptr ? std::string_view() : text; }

// Calls `visit(node)` for `root` and all below it, parents first.
template <typename Visit>
void for_each_node(cmark_node* root, Visit visit) {
  const std::unique_ptr<cmark_iter, FreeIterator> iterator(cmark_iter_new(root));
  for (auto event = cmark_iter_next(iterator.get()); event != CMARK_EVENT_DONE;
       event = cmark_iter_next(iterator.get()))
    if (event == CMARK_EVENT_ENTER) visit(cmark_iter_get_node(iterator.get()));
}

// The words of a heading or paragraph without markup.
std::string plain_text(cmark_node* block) {
  std::string out;
  for_each_node(block, [&](cmark_node* node) {
    const cmark_node_type type = cmark_node_get_type(node);
    if (type == CMARK_NODE_TEXT || type == CMARK_NODE_CODE)
      out += or_empty(cmark_node_get_literal(node));
    if (type == CMARK_NODE_SOFTBREAK) out += '\n';
  });
  return out;
}

// "us-product-bans": lower-case words and numbers joined by hyphens.
bool like_an_id(std::string_view text) {
  const bool signs = std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
  return signs && text.find('-') != std::string_view::npos && text.front() != '-' &&
         text.back() != '-';
}

bool has_scheme(std::string_view url) {
  const auto colon = url.find(':');
  return has_web_link(url) || url.starts_with("//") ||
         (colon != std::string_view::npos && colon < url.find_first_of("/?#"));
}

// The words of a paragraph as its reader sees them, in one line.
std::string passage_text(cmark_node* paragraph) {
  std::string out;
  for_each_node(paragraph, [&](cmark_node* node) {
    const cmark_node_type type = cmark_node_get_type(node);
    const std::string_view literal = or_empty(cmark_node_get_literal(node));
    if (type == CMARK_NODE_TEXT || (type == CMARK_NODE_CODE && !like_an_id(literal))) out += literal;
    if (type == CMARK_NODE_SOFTBREAK || type == CMARK_NODE_LINEBREAK) out += ' ';
  });
  return out;
}

class BodyReader {
 public:
  BodyReader(std::string_view text, Place first, Problems& problems)
      : text_(text), first_(first), problems_(problems) {
    lines_.push_back(0);
    for (std::size_t end = text.find('\n'); end != std::string_view::npos; end = text.find('\n', end + 1))
      lines_.push_back(end + 1);
  }

  std::vector<Section> read() {
    const std::unique_ptr<cmark_node, FreeNode> root(
        cmark_parse_document(text_.data(), text_.size(), CMARK_OPT_DEFAULT));
    for (cmark_node* block = cmark_node_first_child(root.get()); block != nullptr;
         block = cmark_node_next(block)) {
      if (opens_section(block)) {
        open(block);
      } else {
        take(block);
      }
      check_inside(block);
    }
    finish(static_cast<int>(lines_.size()) + 1);
    return std::move(sections_);
  }

 private:
  Place place(int line) const { return {first_.file, first_.line + std::max(line, 1) - 1}; }

  bool opens_section(cmark_node* block) {
    if (cmark_node_get_type(block) != CMARK_NODE_HEADING) return false;
    const int level = cmark_node_get_heading_level(block);
    const Place at = place(cmark_node_get_start_line(block));
    if (level == 1) {
      problems_.add(Rule::misplaced_section, at,
                    "a heading of level 1; the title stands in the front matter, write '##'");
      return false;
    }
    const bool underlined =
        line_text(cmark_node_get_start_line(block)).find('#') == std::string_view::npos;
    if (underlined)
      problems_.add(
          Rule::misplaced_section, at,
          "an underlined heading; write '## ' before it, or an empty line above the dashes");
    if (level == 3 && sections_.empty())
      problems_.add(Rule::misplaced_section, at,
                    "a heading '###' before the first '##'; write '##'");
    return level <= 3 && !underlined;
  }

  std::string_view line_text(int line) const {
    const std::size_t begin = lines_.at(static_cast<std::size_t>(line) - 1);
    const std::size_t end = text_.find('\n', begin);
    return text_.substr(begin, end == std::string_view::npos ? end : end - begin);
  }

  void open(cmark_node* heading) {
    const int line = cmark_node_get_start_line(heading);
    finish(line);
    Section section;
    section.level = cmark_node_get_heading_level(heading);
    section.heading = plain_text(heading);
    section.place = place(line);
    sections_.push_back(std::move(section));
    body_from_ = line + 1;
    blocks_ = 0;
    paragraph_.clear();
  }

  void take(cmark_node* block) {
    const bool refused_heading = cmark_node_get_type(block) == CMARK_NODE_HEADING &&
                                 cmark_node_get_heading_level(block) <= 3;
    if (sections_.empty() && !refused_heading && !told_outside_) {
      told_outside_ = true;
      problems_.add(Rule::text_outside_section, place(cmark_node_get_start_line(block)),
                    "text before the first section; put it below a '##' heading");
    }
    ++blocks_;
    if (cmark_node_get_type(block) == CMARK_NODE_PARAGRAPH) paragraph_ = plain_text(block);
    if (!sections_.empty()) take_passages(block);
  }

  void take_passages(cmark_node* block) {
    std::vector<Passage>& passages = sections_.back().passages;
    const bool list = cmark_node_get_type(block) == CMARK_NODE_LIST;
    const std::string lead =
        list && !passages.empty() && passages.back().text.ends_with(':') ? passages.back().text : "";
    for_each_node(block, [&](cmark_node* node) {
      if (cmark_node_get_type(node) == CMARK_NODE_PARAGRAPH)
        passages.push_back({passage_text(node), lead, place(cmark_node_get_start_line(node)), list});
    });
  }

  // Ends the open section before line `next`.
  void finish(int next) {
    if (sections_.empty()) return;
    Section& section = sections_.back();
    section.body = lines_between(body_from_, next);
    section.plain = blocks_ == 1 && section.body == paragraph_;
    section.mentions = std::exchange(mentions_, {});
  }

  std::string lines_between(int from, int to) const {
    const auto offset = [&](int line) {
      const auto index = static_cast<std::size_t>(line) - 1;
      return index < lines_.size() ? lines_[index] : text_.size();
    };
    const std::string_view all = text_.substr(offset(from), offset(to) - offset(from));
    const std::size_t begin = all.find_first_not_of(" \t\n");
    if (begin == std::string_view::npos) return {};
    // The first line keeps its indent, which may be a code block's.
    const std::size_t line = all.rfind('\n', begin);
    const std::size_t start = line == std::string_view::npos ? 0 : line + 1;
    return std::string(all.substr(start, all.find_last_not_of(" \t\n") + 1 - start));
  }

  // Inline nodes carry no reliable line in every cmark: counted from their block by its line
  // breaks.
  void check_inside(cmark_node* block) {
    int line = cmark_node_get_start_line(block);
    for_each_node(block, [&](cmark_node* node) {
      const cmark_node_type type = cmark_node_get_type(node);
      if (type == CMARK_NODE_SOFTBREAK || type == CMARK_NODE_LINEBREAK) {
        ++line;
      } else if (type <= CMARK_NODE_LAST_BLOCK) {
        line = cmark_node_get_start_line(node);
      }
      check_node(node, type, place(line));
    });
  }

  void check_node(cmark_node* node, cmark_node_type type, Place at) {
    const std::string_view literal = or_empty(cmark_node_get_literal(node));
    if (type == CMARK_NODE_HTML_BLOCK || type == CMARK_NODE_HTML_INLINE) {
      problems_.add(Rule::unsafe_markup, at, "raw HTML; write markdown, and `<` in backquotes");
    } else if (type == CMARK_NODE_IMAGE) {
      problems_.add(Rule::unsafe_markup, at, "an image; describe it in words");
    } else if (type == CMARK_NODE_LINK) {
      check_link(std::string(or_empty(cmark_node_get_url(node))), at);
    } else if (has_web_link(literal)) {
      problems_.add(Rule::unsafe_markup, at,
                    "a web address; name the document in 'sources' instead");
    } else if (type == CMARK_NODE_CODE && like_an_id(literal)) {
      mentions_.push_back({std::string(literal), at});
    }
  }

  void check_link(const std::string& url, Place at) {
    if (has_scheme(url)) {
      problems_.add(Rule::unsafe_markup, at,
                    "a link out of the corpus; link to an article's id, or name it");
    } else {
      mentions_.push_back({url, at});
    }
  }

  std::string_view text_;
  Place first_;
  Problems& problems_;
  std::vector<std::size_t> lines_;  // Where each line begins.
  std::vector<Section> sections_;
  std::vector<Mention> mentions_;  // Of the open section.
  std::string paragraph_;          // The last paragraph of the open section.
  int body_from_ = 1;
  int blocks_ = 0;
  bool told_outside_ = false;
};

}  // namespace

std::vector<Section> read_sections(std::string_view text, Place first, Problems& problems) {
  const StageTime time(Stage::markdown);
  return BodyReader(text, first, problems).read();
}

}  // namespace indexer
