#include "kb/database.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "kb/error.h"

namespace kb {
namespace {

constexpr std::size_t kLargestDatabase = 1u << 30;

std::uint32_t big_endian(std::span<const unsigned char> bytes, std::size_t at) {
  return (static_cast<std::uint32_t>(bytes[at]) << 24) | (static_cast<std::uint32_t>(bytes[at + 1]) << 16) |
         (static_cast<std::uint32_t>(bytes[at + 2]) << 8) | static_cast<std::uint32_t>(bytes[at + 3]);
}

std::string_view as_text(std::span<const unsigned char> bytes) {
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

}  // namespace

// Tables with long texts keep their rowid: without one, each comparison of a key would read the text.
const char* const kSchemaSql = R"sql(
CREATE TABLE meta(key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE article(key INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL,
                     title TEXT NOT NULL, friability TEXT NOT NULL, caution TEXT NOT NULL, front TEXT NOT NULL);
-- What an answer shows, without the pages that `front` fills.
CREATE INDEX article_brief ON article(key, id, kind, title, friability, caution);
CREATE TABLE section(article INTEGER NOT NULL, seq INTEGER NOT NULL, level INTEGER NOT NULL,
                     heading TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY(article, seq));
CREATE TABLE drawing(article INTEGER PRIMARY KEY, svg TEXT NOT NULL);
CREATE TABLE name(article INTEGER NOT NULL, seq INTEGER NOT NULL, text TEXT NOT NULL, heard INTEGER NOT NULL,
                  PRIMARY KEY(article, seq)) WITHOUT ROWID;
CREATE TABLE name_phrase(phrase TEXT NOT NULL, article INTEGER NOT NULL, name TEXT NOT NULL, heard INTEGER NOT NULL,
                         PRIMARY KEY(phrase, article)) WITHOUT ROWID;
CREATE TABLE word_sound(sound TEXT NOT NULL, word TEXT NOT NULL, articles INTEGER NOT NULL,
                        PRIMARY KEY(sound, word)) WITHOUT ROWID;
CREATE TABLE name_sound(sound TEXT NOT NULL, article INTEGER NOT NULL, name TEXT NOT NULL,
                        PRIMARY KEY(sound, article)) WITHOUT ROWID;
CREATE TABLE cue(phrase TEXT NOT NULL, role INTEGER NOT NULL, item INTEGER NOT NULL, part INTEGER NOT NULL,
                 PRIMARY KEY(phrase, role, item, part)) WITHOUT ROWID;
CREATE TABLE look(item INTEGER PRIMARY KEY, article INTEGER NOT NULL, parts INTEGER NOT NULL, needs_for INTEGER NOT NULL);
CREATE TABLE lift(item INTEGER NOT NULL, article INTEGER NOT NULL, kind TEXT NOT NULL, points INTEGER NOT NULL,
                  PRIMARY KEY(item, article, kind)) WITHOUT ROWID;
CREATE TABLE weight(name TEXT PRIMARY KEY, points INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE years(article INTEGER PRIMARY KEY, first INTEGER NOT NULL, last INTEGER NOT NULL, soft_end TEXT NOT NULL);
CREATE TABLE place(article INTEGER NOT NULL, seq INTEGER NOT NULL, text TEXT NOT NULL,
                   PRIMARY KEY(article, seq)) WITHOUT ROWID;
CREATE TABLE link(source INTEGER NOT NULL, role TEXT NOT NULL, seq INTEGER NOT NULL, target TEXT NOT NULL,
                  PRIMARY KEY(source, role, seq)) WITHOUT ROWID;
CREATE TABLE vocabulary(file TEXT PRIMARY KEY, body TEXT NOT NULL);
CREATE TABLE compiled(name TEXT PRIMARY KEY, body BLOB NOT NULL);
CREATE TABLE general_word(word TEXT PRIMARY KEY) WITHOUT ROWID;
CREATE TABLE corpus_word(word TEXT PRIMARY KEY, articles INTEGER NOT NULL) WITHOUT ROWID;
CREATE VIRTUAL TABLE fts USING fts5(title, names, look, body, content='', tokenize='porter unicode61');
)sql";

std::string why_not_a_database(std::span<const unsigned char> bytes, const std::string& name) {
  const std::string quoted = "database '" + name + "' ";
  const std::string way_out = "; build it again with letbe-index, or leave --db out to use the one built in";
  constexpr std::string_view kHeader{"SQLite format 3\0", 16};
  if (bytes.empty()) return quoted + "is empty" + way_out;
  if (bytes.size() < 100 || as_text(bytes.first(16)) != kHeader) return quoted + "is not a letbe database" + way_out;
  if (big_endian(bytes, 68) != static_cast<std::uint32_t>(kApplicationId))
    return quoted + "was made by another program" + way_out;
  if (const auto version = big_endian(bytes, 60); version != static_cast<std::uint32_t>(kSchemaVersion))
    return quoted + "has schema version " + std::to_string(version) + ", this program reads version " +
           std::to_string(kSchemaVersion) + way_out;
  if (bytes.size() < 100 + kTrailerSize ||
      as_text(bytes.subspan(bytes.size() - kTrailerSize, kTrailerMagic.size())) != kTrailerMagic)
    return quoted + "is cut short: its last bytes are missing" + way_out;
  if (sha256(as_text(bytes.first(bytes.size() - 32))) != as_text(bytes.last(32)))
    return quoted + "is damaged: its checksum does not match" + way_out;
  return {};
}

Database::Database(std::vector<unsigned char> owned, Connection connection)
    : owned_(std::move(owned)), connection_(std::move(connection)), handle_(connection_->handle()) {}

Database Database::over_connection(const Connection& open) { return Database(open.handle()); }

Database Database::over_image(std::span<const unsigned char> image) {
  return {{}, Connection::over_image(image.data(), image.size() - kTrailerSize)};
}

Database Database::from_file(const std::string& path) {
  std::error_code code;
  if (std::filesystem::is_directory(path, code))
    throw Error("database '" + path + "' is a folder; give the file that letbe-index wrote");
  std::ifstream file(path, std::ios::binary);
  if (!file)
    throw Error("cannot read database '" + path + "': " + std::strerror(errno) +
                "; check --db and LETBE_DB, or leave them out to use the one built in");
  // Read whole: what was verified is then what is asked, even when the file is replaced meanwhile.
  std::vector<unsigned char> bytes;
  std::array<char, 1 << 16> part{};
  while (file.read(part.data(), part.size()) || file.gcount() > 0) {
    bytes.insert(bytes.end(), part.data(), part.data() + file.gcount());
    if (bytes.size() > kLargestDatabase) throw Error("database '" + path + "' is too large to be a letbe database");
  }
  if (const std::string why = why_not_a_database(bytes, path); !why.empty()) throw Error(why);
  Connection connection = Connection::over_image(bytes.data(), bytes.size() - kTrailerSize);
  return {std::move(bytes), std::move(connection)};
}

std::string Database::meta(std::string_view key) const {
  Statement s = query("SELECT value FROM meta WHERE key=?1");
  s.bind(1, key);
  return s.step() ? s.text(0) : std::string();
}

std::string Database::vocabulary(std::string_view file) const {
  Statement s = query("SELECT body FROM vocabulary WHERE file=?1");
  s.bind(1, file);
  return s.step() ? s.text(0) : std::string();
}

Statement Database::compiled(std::string_view name) const {
  Statement s = query("SELECT body FROM compiled WHERE name=?1");
  s.bind(1, name);
  return s;
}

bool Database::general_word(std::string_view folded) const {
  if (!general_) general_.emplace(query("SELECT 1 FROM general_word WHERE word=?1"));
  general_->reset();
  general_->bind(1, folded);
  return general_->step();
}

}  // namespace kb
