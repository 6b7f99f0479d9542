// Articles as they stand in the database.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/database.h"

namespace kb {

struct ArticleInfo {
  std::int64_t key = 0;
  std::string id, kind, title;
};

struct Section {
  int level = 2;
  std::string heading, body;  // Body: markdown below the heading, without it.
};

struct Article : ArticleInfo {
  std::string front;          // Front matter as JSON text.
  std::vector<Section> sections;
  std::string drawing;        // SVG; empty when there is none.
};

// Who reads: every section, what an inspector needs, what a homeowner needs, or the report wording.
enum class Reader : std::uint8_t { everyone, inspector, homeowner, report };

// Every article by kind and id, of one kind when `kind` is not empty.
std::vector<ArticleInfo> list_articles(const Database& db, std::string_view kind = {});

std::optional<Article> load_article(const Database& db, std::string_view id);
// The drawing of an article as SVG, in the form of kb/drawing.h; nothing when it has none.
std::optional<std::string> load_drawing(const Database& db, std::string_view id);

// Ids nearest to a mistyped one, nearest first, at most `most`; empty when nothing is near.
std::vector<std::string> nearest_ids(const Database& db, std::string_view typed, std::size_t most);

// The article as one markdown text with its title as heading; for one reader only the sections meant
// for him or her (none of them: an empty text).
std::string to_markdown(const Article& article, Reader reader);
// The same in two parts: what stands above the drawing, and what below. Where the drawing is not shown to
// this reader, or there is none, all is in `above`.
struct AroundDrawing {
  std::string above, below;
  bool shown = false;
};
AroundDrawing to_markdown_around_drawing(const Article& article, Reader reader);

// The one-line caution of an article: the last sentence of a material's report wording (its
// instruction), the first of a caution's, the first step of a homeowner page, else the first sentence.
std::string one_line_caution(const Article& article);

}  // namespace kb
