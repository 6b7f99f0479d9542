// One article file, read and checked by itself.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/problem.h"
#include "indexer/schema.h"
#include "indexer/yaml_value.h"

namespace indexer {

inline constexpr std::size_t kLargestPage = 64 * 1024;

struct SourceFile {
  std::string path;                  // As named in messages: "articles/materials/x.md".
  std::string relative;              // Within its folder: "materials/x.md".
  std::optional<std::string> bytes;  // Nothing: they are read from `path` when they are needed.
};

// An article id that the text of a section names, as `an-id` or as a link.
struct Mention {
  std::string target;
  Place place;
};

// A paragraph or list item as its reader sees it: no markup, no names of other pages in backquotes.
struct Passage {
  std::string text;
  std::string lead;  // Of a list item: the paragraph ending in ":" before its list.
  Place place;
  bool item = false;
};

struct Section {
  int level = 2;
  std::string heading;
  std::string body;    // Markdown below the heading, up to the next one, trimmed.
  Place place;         // Of the heading.
  bool plain = false;  // One paragraph, and its text is the markdown itself.
  std::vector<Mention> mentions;
  std::vector<Passage> passages;
};

struct Page {
  std::string id;              // The file's name without its ending.
  const Kind* kind = nullptr;  // By its folder.
  Value front;
  std::vector<Section> sections;  // Level 2 and 3 in the order of the page.
  Place end;                      // Its last line.
  std::string drawing;            // The SVG beside it, checked; empty when there is none.
  Place drawing_place;
};

// `bytes` with any byte-order mark taken off and line ends made "\n". Reports bytes that are not
// UTF-8 or hold control characters, and then returns nothing. `path` is for messages.
std::optional<std::string> clean_text(std::string_view path, std::string_view bytes,
                                      Problems& problems);

// Reads and checks the page of `kind` in the file `path`, which holds `bytes`, as far as that is
// possible without other files. Places in the page point into `path`, which must outlive it. A page
// that only overrides another one (`whole` false) may leave out keys and sections. Nothing when the
// file cannot be read as a page at all; that is reported.
std::optional<Page> read_page(std::string_view path, std::string_view bytes, const Kind& kind,
                              bool whole, Problems& problems);

// The same page once more, its sections alone and without a check.
std::optional<Page> read_page_again(std::string_view path, std::string_view bytes, const Kind& kind);

}  // namespace indexer
