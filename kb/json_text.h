// The JSON that other programs rely on (schema 1). One document a call, keys in a fixed order, text
// always valid UTF-8: invalid bytes show as U+FFFD. Fields may be added later, never changed.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "kb/articles.h"
#include "kb/blocks.h"
#include "kb/search.h"
#include "kb/summary.h"

namespace kb {

enum class JsonForm : std::uint8_t { pretty, one_line };

std::string find_json(const FindAnswer& answer);
// Spans count in the note as it was given.
std::string note_json(const Attachment& attachment, const Knowledge& knowledge, JsonForm form);
std::string article_json(const Article& article);
std::string list_json(const std::vector<ArticleInfo>& articles);

// What `letbe about` tells.
struct About {
  std::string version, corpus_version, sqlite_version, database;
  int schema_version = 0;
  std::size_t articles = 0;
  std::vector<std::string> limits;
};
std::string about_json(const About& about);
// The advice table as JSON.
std::string advice_json(const Knowledge& knowledge);

// A summary: {"schema","summary":[...],"look_too":[...],"advice","built"}; places are the note's own words.
std::string summary_json(const Summary& summary, const Attachment& attachment, const Knowledge& knowledge, JsonForm form);

// One JSON line that holds a note.
struct JsonRow {
  std::string note, built;  // `built`: the year as text, empty when there is none.
  std::string others;       // Its other members as one JSON object; empty when it was a bare text.
};

// The line is a text, or an object whose member `column` is the note. Throws kb::Error that says what is
// wrong, without a place.
JsonRow row_of_json_line(std::string_view line, const std::string& column, const std::string& built_column);

// The same document as note_json() on one line, with the row's other members as "row" (left out
// when there are none).
std::string row_json(const Attachment& attachment, const Knowledge& knowledge, const std::string& others);

// Names and values as one JSON object, for `others`.
std::string json_of(const std::vector<std::pair<std::string, std::string>>& members);

}  // namespace kb
