// The finished corpus: one SQLite file, written by letbe-index and only read here.
//
// Layout of the file: a SQLite database (journal mode DELETE), then kTrailerMagic (8 bytes), then the
// SHA-256 (32 bytes) of all that precedes, the magic included.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "kb/sha256.h"
#include "kb/sqlite.h"

namespace kb {

inline constexpr std::int32_t kApplicationId = 0x6C657462;  // "letb"
inline constexpr std::int32_t kSchemaVersion = 3;           // Raised when the tables change.
inline constexpr std::string_view kTrailerMagic = "letbe-1\n";
inline constexpr std::size_t kTrailerSize = 8 + 32;

// The tables, as letbe-index makes them. `name_phrase` holds every name, shared ones too, as
// stemmed_text(), so that a row of typed words is found by one look-up. `front` is the front matter as JSON; `body` of a section is
// its markdown without the heading; the full-text rows hold normal_text() of what they index.
extern const char* const kSchemaSql;

// Is `bytes` a whole, undamaged letbe database of this schema version? Returns an empty string when it
// is, else one line that says what is wrong and what to do, beginning with `name` in quotes.
std::string why_not_a_database(std::span<const unsigned char> bytes, const std::string& name);

class Database {
 public:
  // The image built into the program: read in place, not verified again (a test does that).
  static Database over_image(std::span<const unsigned char> image);
  // The tables as they stand in `open`, its open transaction included; `open` must outlive this.
  static Database over_connection(const Connection& open);
  // A file, read whole and verified first. Throws kb::Error (one line, with the way out).
  static Database from_file(const std::string& path);

  Statement query(std::string_view sql) const { return Statement(handle_, sql); }
  // A value of the table `meta` ("corpus-version", ...); empty when there is none.
  std::string meta(std::string_view key) const;
  // One vocabulary file as JSON text, by its name without ending ("denial"); empty when missing.
  std::string vocabulary(std::string_view file) const;
  // Asks for knowledge made ready by letbe-index ("knowledge", "words"): one row with its bytes.
  Statement compiled(std::string_view name) const;
  // Is this a word of the general English list?
  bool general_word(std::string_view folded) const;

 private:
  Database(std::vector<unsigned char> owned, Connection connection);
  explicit Database(sqlite3* handle) : handle_(handle) {}
  std::vector<unsigned char> owned_;  // Empty for the built-in image.
  std::optional<Connection> connection_;  // Nothing when it is somebody else's.
  sqlite3* handle_;
  mutable std::optional<Statement> general_;
};

}  // namespace kb
