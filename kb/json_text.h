// The JSON that other programs rely on (schema 1). One document a call, keys in a fixed order, text
// always valid UTF-8: invalid bytes show as U+FFFD. Fields may be added later, never changed.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "kb/articles.h"
#include "kb/blocks.h"
#include "kb/search.h"

namespace kb {

enum class JsonForm : std::uint8_t { pretty, one_line };

std::string find_json(const FindAnswer& answer);
// Spans count in the note as it was given.
std::string note_json(const Attachment& attachment, const Knowledge& knowledge, JsonForm form);
std::string article_json(const Article& article);
std::string list_json(const std::vector<ArticleInfo>& written, const std::vector<ArticleInfo>& unwritten);

// What `letbe about` tells.
struct About {
  std::string version, corpus_version, sqlite_version, database;
  int schema_version = 0;
  std::size_t articles = 0, planned = 0;
  std::vector<std::string> limits;
};
std::string about_json(const About& about);
// The advice table as JSON.
std::string advice_json(const Knowledge& knowledge);

// The note of one JSON line: the line itself when it is a string, else the member `column` of an
// object. Throws kb::Error that says what is wrong, without a place.
std::string note_of_json_line(std::string_view line, const std::string& column);

}  // namespace kb
