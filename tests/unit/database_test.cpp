// kb/database.h: whole files are read, anything else is refused with its own message, none is
// written.
#include "kb/database.h"

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <span>
#include <string>
#include <vector>

#include "cli/source.h"
#include "kb/articles.h"
#include "kb/error.h"
#include "kb/knowledge.h"
#include "kb/search.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

namespace fs = std::filesystem;

constexpr std::size_t kApplicationIdAt = 68, kSchemaVersionAt = 60;

// A folder that is gone at the end of the test.
class Folder {
 public:
  Folder() : path_((fs::temp_directory_path() / "letbe-test-XXXXXX").string()) {
    REQUIRE(mkdtemp(path_.data()) != nullptr);
  }
  ~Folder() {
    std::error_code code;
    fs::remove_all(path_, code);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  std::string file(const std::string& name, const std::string& bytes) const {
    std::ofstream(path_ + "/" + name, std::ios::binary) << bytes;
    return path_ + "/" + name;
  }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

std::string image() {
  const auto bytes = cli::built_in_image();
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

std::string file_bytes(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// The SQLite part with a fresh trailer.
std::string sealed(const std::string& body) {
  const std::string whole = body + std::string(kb::kTrailerMagic);
  return whole + kb::sha256(whole);
}

std::string body_of(const std::string& bytes) {
  return bytes.substr(0, bytes.size() - kb::kTrailerSize);
}

std::string changed(std::string bytes, std::size_t at, char to) {
  REQUIRE(bytes[at] != to);
  bytes[at] = to;
  return bytes;
}

std::string why_not(const std::string& bytes) {
  return kb::why_not_a_database(
      {reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size()}, "x.db");
}

// A database file whose tables were changed by `sql`, sealed again.
std::string altered(const Folder& folder, const std::string& name, const std::string& sql) {
  const std::string path = folder.file(name, body_of(image()));
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open_v2(path.c_str(), &db, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK);
  CHECK(sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
  return folder.file(name, sealed(file_bytes(path)));
}

}  // namespace

TEST_CASE("the digest is SHA-256") {
  CHECK(kb::sha256_hex("", 64) ==
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(kb::sha256_hex("abc", 8) == "ba7816bf");
  CHECK(kb::sha256_hex("abc", 0).empty());
  CHECK(kb::sha256("abc").size() == 32);
}

TEST_CASE("the built-in image is whole and in a form that is read in place") {
  const std::string bytes = image();
  CHECK(why_not(bytes).empty());
  CHECK(bytes[18] == 1);  // Not in WAL mode, for writing and for reading.
  CHECK(bytes[19] == 1);
  const kb::Database db = kb::Database::over_image(cli::built_in_image());
  kb::Statement check = db.query("PRAGMA integrity_check");
  REQUIRE(check.step());
  CHECK(check.text(0) == "ok");
}

TEST_CASE("each kind of damage has its own message") {
  const std::string whole = image();
  const std::string way_out =
      "; build it again with letbe-index, or leave --db out to use the one built in";
  struct Case {
    std::string bytes, message;
  };
  const Case cases[] = {
      {"", "database 'x.db' is empty"},
      {"SQLite", "database 'x.db' is not a letbe database"},
      {std::string(5000, 'x'), "database 'x.db' is not a letbe database"},
      {whole.substr(0, 99), "database 'x.db' is not a letbe database"},
      {changed(whole, 0, 's'), "database 'x.db' is not a letbe database"},
      {changed(whole, kApplicationIdAt, 'x'), "database 'x.db' was made by another program"},
      {changed(whole, kSchemaVersionAt + 3, 7),
       "database 'x.db' has schema version 7, this program reads version " + std::to_string(kb::kSchemaVersion)},
      {sealed(changed(body_of(whole), kSchemaVersionAt + 3, 0)),
       "database 'x.db' has schema version 0, this program reads version " + std::to_string(kb::kSchemaVersion)},
      {whole.substr(0, 100), "database 'x.db' is cut short: its last bytes are missing"},
      {whole.substr(0, whole.size() - 1),
       "database 'x.db' is cut short: its last bytes are missing"},
      {whole.substr(0, whole.size() / 2),
       "database 'x.db' is cut short: its last bytes are missing"},
      {body_of(whole), "database 'x.db' is cut short: its last bytes are missing"},
      {whole + "\n", "database 'x.db' is cut short: its last bytes are missing"},
      {changed(whole, whole.size() - 1, static_cast<char>(~whole.back())),
       "database 'x.db' is damaged: its checksum does not match"},
      {changed(whole, 5000, static_cast<char>(~whole[5000])),
       "database 'x.db' is damaged: its checksum does not match"},
      {whole.substr(0, 4096) + whole.substr(8192),
       "database 'x.db' is damaged: its checksum does not match"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.bytes.size());
    CHECK(why_not(c.bytes) == c.message + way_out);
  }
}

TEST_CASE("a file is refused with its path and what to do") {
  const Folder folder;
  const std::string whole = folder.file("whole ?#%41.db", image());
  CHECK(kb::Database::from_file(whole).meta("corpus-version") ==
        kb::Database::over_image(cli::built_in_image()).meta("corpus-version"));
  const std::string empty = folder.file("empty.db", ""), missing = folder.path() + "/missing.db";
  CHECK_THROWS_WITH_AS(kb::Database::from_file(empty),
                       ("database '" + empty +
                        "' is empty; build it again with letbe-index, or leave --db out to use "
                        "the one built in")
                           .c_str(),
                       kb::Error);
  CHECK_THROWS_WITH_AS(kb::Database::from_file(missing),
                       ("cannot read database '" + missing +
                        "': No such file or directory; check --db and LETBE_DB, "
                        "or leave them out to use the one built in")
                           .c_str(),
                       kb::Error);
  CHECK_FALSE(fs::exists(missing));
  CHECK_THROWS_WITH_AS(
      kb::Database::from_file(folder.path()),
      ("database '" + folder.path() + "' is a folder; give the file that letbe-index wrote")
          .c_str(),
      kb::Error);
}

TEST_CASE("a file that is replaced or gone after opening still answers as it was") {
  const Folder folder;
  const std::string path = folder.file("a.db", image());
  const kb::Database db = kb::Database::from_file(path);
  folder.file("a.db", "something else");
  fs::remove(path);
  CHECK(!kb::list_articles(db).empty());
}

TEST_CASE("nothing is ever written through a connection") {
  const std::string before = image();
  const kb::Database db = kb::Database::over_image(cli::built_in_image());
  for (const char* sql :
       {"INSERT INTO meta VALUES('a','b')", "UPDATE article SET title='x'", "DELETE FROM section",
        "DROP TABLE article", "CREATE TABLE x(y)", "INSERT INTO fts(fts) VALUES('rebuild')"}) {
    CAPTURE(std::string(sql));
    CHECK_THROWS_WITH_AS(
        db.query(sql).step(),
        ("database: attempt to write a readonly database (" + std::string(sql) + ")").c_str(),
        kb::Error);
  }
  CHECK_THROWS_AS(db.query("ATTACH ':memory:' AS other").step(), kb::Error);
  CHECK_THROWS_AS(db.query("SELECT load_extension('x')").step(), kb::Error);
  CHECK_THROWS_AS(db.query("SELECT \"no such column\""), kb::Error);
  CHECK(image() == before);
}

TEST_CASE("a rank function stored in the file changes no ranking") {
  const Folder folder;
  const std::string path = altered(
      folder, "rank.db", "INSERT INTO fts(fts, rank) VALUES('rank', 'bm25(0.0, 0.0, 0.0, -9.0)')");
  REQUIRE(file_bytes(path) != image());
  const kb::Database changed_rank = kb::Database::from_file(path);
  const kb::Database own = kb::Database::over_image(cli::built_in_image());
  for (const char* typed : {"vinyl floor tile", "white paper on ducts", "torn wrap in the attic"}) {
    CAPTURE(std::string(typed));
    std::vector<std::pair<std::string, double>> there, here;
    for (const auto& r : kb::find(changed_rank, typed, {}).results)
      there.emplace_back(r.article.id, r.score);
    for (const auto& r : kb::find(own, typed, {}).results) here.emplace_back(r.article.id, r.score);
    CHECK(here.size() > 2);
    CHECK(there == here);
  }
}

TEST_CASE("a sealed file without what it should hold is refused when it is asked") {
  const Folder folder;
  const char* const changes[] = {"DELETE FROM compiled",
                                 "UPDATE compiled SET body=substr(body,1,length(body)/2)",
                                 "UPDATE compiled SET body=x'00'", "DROP TABLE compiled"};
  for (const char* sql : changes) {
    CAPTURE(std::string(sql));
    const kb::Database db = kb::Database::from_file(altered(folder, "x.db", sql));
    CHECK_THROWS_AS(kb::load_knowledge(db), kb::Error);
    CHECK_THROWS_AS(kb::load_word_rules(db), kb::Error);
    CHECK(!kb::list_articles(db).empty());
  }
}

TEST_CASE("a drawing of a database that could run something is not shown") {
  const Folder folder;
  const kb::Database db = kb::Database::from_file(altered(folder, "x.db", "UPDATE drawing SET svg='<svg onload=\"x()\"/>'"));
  CHECK_FALSE(kb::load_drawing(db, "pipe-lagging").has_value());
  CHECK(kb::load_article(db, "pipe-lagging")->drawing.empty());
}

TEST_CASE("small questions to the database have small answers") {
  const kb::Database& db = test_database();
  CHECK(!db.meta("corpus-version").empty());
  CHECK(db.meta("no such key").empty());
  CHECK(!db.vocabulary("denial").empty());
  CHECK(db.vocabulary("denial.yaml").empty());
  CHECK(db.general_word("garden"));
  for (const char* word : {"", "Garden", "vermiculite-fill", "zzz", "\xFF"}) {
    CAPTURE(std::string(word));
    CHECK_FALSE(db.general_word(word));
  }
}
