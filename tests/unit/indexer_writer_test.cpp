// The database file: the same each time, whole or not there, and readable in place.
#include <doctest/doctest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <span>
#include <sstream>
#include <string>
#include <vector>

#include "indexer/corpus_source.h"
#include "indexer/run.h"
#include "kb/database.h"
#include "kb/error.h"
#include "tests/unit/pages_for_tests.h"

namespace {

namespace fs = std::filesystem;

// A folder that is gone at the end of the test.
class Scratch {
 public:
  Scratch() : path_((fs::temp_directory_path() / "letbe-test-XXXXXX").string()) {
    REQUIRE(mkdtemp(path_.data()) != nullptr);
  }
  ~Scratch() {
    std::error_code code;
    fs::remove_all(path_, code);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;

  std::string at(const std::string& name) const { return path_ + "/" + name; }
  void write(const std::string& name, const std::string& bytes) const {
    fs::create_directories(fs::path(at(name)).parent_path());
    std::ofstream(at(name), std::ios::binary) << bytes;
  }
  std::string read(const std::string& name) const {
    std::ifstream file(at(name), std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
  }
  std::vector<std::string> names(const std::string& folder) const {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(at(folder)))
      out.push_back(entry.path().filename().string());
    return out;
  }

 private:
  std::string path_;
};

constexpr const char* kPage =
    "---\nid: old-houses\nkind: basics\ntitle: \"Old houses: how to look\"\n"
    "names: [looking at old houses, \"9 x 9 tile\"]\nheard-as: [looking at gold houses]\n"
    "look-also: [other-page]\nplaces: [basement]\n"
    "sources:\n  - {cite: \"1926\", backs: [In short], status: published}\nreviewed: "
    "2026-11-25\n---\n\n"
    "## In short\nLook at the *fibre* from where you stand.\n\n### Then\nLeave it.\n\n## "
    "Limits\nOnly a laboratory.\n";

// A small corpus in "articles", and a word list.
void write_corpus(const Scratch& scratch) {
  scratch.write("articles/corpus.yaml", "version: \"7\"\n");
  scratch.write("articles/basics/old-houses.md", kPage);
  scratch.write("articles/rules/other-page.md", small_page("rule", "other-page"));
  fs::create_directories(scratch.at("articles/vocabulary"));
  // The reader's own vocabulary, without what names articles that are not here.
  for (const auto& entry : fs::directory_iterator(LETBE_SOURCE_DIR "/articles/vocabulary"))
    fs::copy(entry.path(), scratch.at("articles/vocabulary") + "/" + entry.path().filename().string());
  scratch.write("articles/vocabulary/house-style.yaml", relaxed_house_style());
  scratch.write("articles/vocabulary/shared-names.yaml",
                "- {name: old place, ids: [old-houses], decide: {}, default: old-houses}\n");
  scratch.write("articles/vocabulary/words.yaml",
                "same: {fibre: fiber}\nabbreviations: [in]\nspoken: {period: \".\"}\n"
                "negating-prefixes: [un]\n");
  scratch.write("articles/vocabulary/other.yaml",
                "a: 12\nb: \"12\"\nc: true\nd: 'true'\ne: 010\nf: no\ng: [1.5, x]\n");
  scratch.write("words", "tile\nTile\nisn't\nA4\n'tis\nzebra\napple's\n\n");
}

struct Result {
  int code = 0;
  std::string out;
  std::string err;
};

Result build(const Scratch& scratch, const std::string& target) {
  std::ostringstream out;
  std::ostringstream err;
  const int code = indexer::run(
      {scratch.at("articles"), "-o", scratch.at(target), "--words", scratch.at("words")}, out, err);
  return {code, out.str(), err.str()};
}

std::string one(const kb::Database& db, const std::string& sql) {
  auto statement = db.query(sql);
  return statement.step() ? statement.text(0) : "no row";
}

}  // namespace

TEST_CASE("the same articles give the same bytes, in any folder") {
  const Scratch first;
  const Scratch second;
  write_corpus(first);
  write_corpus(second);
  CHECK(build(first, "a.db").code == indexer::kDone);
  CHECK(build(first, "b.db").code == indexer::kDone);
  CHECK(build(second, "a.db").code == indexer::kDone);
  CHECK(first.read("a.db") == first.read("b.db"));
  CHECK(first.read("a.db") == second.read("a.db"));
  second.write("articles/corpus.yaml", "version: \"8\"\n");
  CHECK(build(second, "a.db").code == indexer::kDone);
  CHECK(first.read("a.db") != second.read("a.db"));
}

TEST_CASE("the file is in journal mode DELETE and ends in its digest") {
  const Scratch scratch;
  write_corpus(scratch);
  REQUIRE(build(scratch, "a.db").code == indexer::kDone);
  const std::string bytes = scratch.read("a.db");
  REQUIRE(bytes.size() > kb::kTrailerSize);
  CHECK(bytes[18] == 1);
  CHECK(bytes[19] == 1);
  CHECK((bytes.size() - kb::kTrailerSize) % 4096 == 0);
  CHECK(bytes.substr(bytes.size() - kb::kTrailerSize, 8) == kb::kTrailerMagic);
  CHECK(bytes.substr(bytes.size() - 32) == kb::sha256(bytes.substr(0, bytes.size() - 32)));
  const std::span image(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
  CHECK(kb::why_not_a_database(image, "a.db").empty());
  CHECK(scratch.names(".").size() == 3);  // articles, words, a.db: no journal, no temporary file.
}

TEST_CASE("one flipped bit anywhere is found") {
  const Scratch scratch;
  write_corpus(scratch);
  REQUIRE(build(scratch, "a.db").code == indexer::kDone);
  std::string bytes = scratch.read("a.db");
  for (std::size_t at = 0; at < bytes.size(); at += 997) {
    bytes[at] = static_cast<char>(bytes[at] ^ 4);
    const std::span image(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
    CHECK(!kb::why_not_a_database(image, "a.db").empty());
    bytes[at] = static_cast<char>(bytes[at] ^ 4);
  }
}

TEST_CASE("the tables hold what the articles say") {
  const Scratch scratch;
  write_corpus(scratch);
  const Result result = build(scratch, "a.db");
  REQUIRE(result.code == indexer::kDone);
  const auto db = kb::Database::from_file(scratch.at("a.db"));
  const std::string version = db.meta("corpus-version");
  CHECK(version.size() == 10);
  CHECK(version.starts_with("7+"));
  CHECK(result.out == scratch.at("a.db") + ": 2 articles, corpus " + version + ", " +
                          std::to_string(fs::file_size(scratch.at("a.db"))) +
                          " bytes\n");
  CHECK(db.meta("articles") == "2");
  CHECK(one(db, "SELECT count(*) FROM sqlite_schema WHERE name='planned'") == "0");
  CHECK(one(db, "SELECT group_concat(key || id, ' ') FROM (SELECT * FROM article ORDER BY key)") == "1other-page 2old-houses");
  CHECK(
      one(db, "SELECT front FROM article WHERE key=2") ==
      R"({"id":"old-houses","kind":"basics","title":"Old houses: how to look",)"
      R"("names":["looking at old houses","9 x 9 tile"],"heard-as":["looking at gold houses"],)"
      R"("places":["basement"],"look-also":["other-page"],)"
      R"("sources":[{"cite":"1926","backs":["In short"],"status":"published"}],"reviewed":"2026-11-25"})");
  CHECK(one(db, "SELECT group_concat(level || heading || '=' || body, '|') FROM section WHERE article=2") ==
        "2In short=Look at the *fibre* from where you stand.|3Then=Leave it.|2Limits=Only a "
        "laboratory.");
  CHECK(one(db, "SELECT group_concat(text || heard, '|') FROM name WHERE article=2") ==
        "looking at old houses0|9 x 9 tile0|looking at gold houses1");
  CHECK(one(db, "SELECT role || seq || target FROM link") == "look-also0other-page");
  CHECK(db.vocabulary("other") ==
        R"({"a":12,"b":"12","c":true,"d":"true","e":"010","f":"no","g":["1.5","x"]})");
  CHECK(one(db, "SELECT group_concat(word, ' ') FROM general_word") == "apple's isn't tile zebra");
  CHECK(one(db, "SELECT articles FROM corpus_word WHERE word='fiber'") == "1");
  CHECK(one(db, "SELECT articles FROM corpus_word WHERE word='fibre'") == "no row");
  CHECK(one(db, "SELECT rowid FROM fts WHERE fts MATCH 'names:\"9x9\"'") == "2");
  CHECK(one(db, "SELECT rowid FROM fts WHERE fts MATCH 'body:\"laboratories\"'") == "2");
}

TEST_CASE("articles with a fault leave the old database and nothing else") {
  const Scratch scratch;
  write_corpus(scratch);
  scratch.write("out/a.db", "old");
  scratch.write("articles/basics/old-houses.md", std::string(kPage) + "\n## Limits\nAgain.\n");
  const Result result = build(scratch, "out/a.db");
  CHECK(result.code == indexer::kBadInput);
  CHECK(result.out.empty());
  CHECK(result.err == scratch.at("articles/basics/old-houses.md") +
                          ":23: section 'Limits' stands twice; make them one [KB014]\n"
                          "1 problem in 1 of 2 articles\n");
  CHECK(scratch.read("out/a.db") == "old");
  CHECK(scratch.names("out") == std::vector<std::string>{"a.db"});
}

TEST_CASE("a target that cannot be written leaves no temporary file") {
  const Scratch scratch;
  write_corpus(scratch);
  fs::create_directories(scratch.at("out/folder"));
  CHECK(build(scratch, "out/folder").err == "letbe-index: cannot write '" + scratch.at("out/folder") +
                                                "': Is a directory; name a file in it with -o\n");
  CHECK(build(scratch, "nowhere/a.db").code == indexer::kBadInput);
  CHECK(scratch.names("out") == std::vector<std::string>{"folder"});
}

TEST_CASE("a database that is replaced keeps its permissions") {
  const Scratch scratch;
  write_corpus(scratch);
  scratch.write("a.db", "old");
  fs::permissions(scratch.at("a.db"), fs::perms::owner_read | fs::perms::owner_write);
  CHECK(build(scratch, "a.db").code == indexer::kDone);
  CHECK(fs::status(scratch.at("a.db")).permissions() ==
        (fs::perms::owner_read | fs::perms::owner_write));
}

TEST_CASE("files that have no place among the articles are refused") {
  const Scratch scratch;
  write_corpus(scratch);
  scratch.write("articles/material/x.md", "x");
  scratch.write("articles/basics/x.txt", "x");
  scratch.write("articles/basics/.x.md.swp", "x");
  scratch.write("articles/README.md", "x");
  scratch.write("articles/corpus.yml", "x");
  fs::create_directories(scratch.at("articles/rules/no-page.md"));
  CHECK(build(scratch, "a.db").err ==
        scratch.at("articles/basics/x.txt") +
            ":1: a file that is not read here; its name must end in '.md', or '.svg' for a drawing [KB028]\n" +
            scratch.at("articles/corpus.yml") +
            ":1: a file that is not read here; did you mean 'corpus.yaml'? [KB028]\n" +
            scratch.at("articles/material") +
            ":1: unknown folder 'material'; did you mean 'materials'? [KB028]\n" +
            scratch.at("articles/rules/no-page.md") +
            ":1: cannot be read: no regular file; put a file there [KB028]\n"
            "4 problems in 1 of 2 articles and 3 other files\n");
}

TEST_CASE("wrong use is one line and exit code 2") {
  struct Case {
    std::vector<std::string> arguments;
    const char* line;
  };
  const Case cases[] = {
      {{}, "letbe-index: no folder of articles; name at least one; see 'letbe-index --help'\n"},
      {{"x"},
       "letbe-index: no output; give -o FILE, or --check to write nothing; see 'letbe-index "
       "--help'\n"},
      {{"x", "--chek"}, "letbe-index: unknown option '--chek'; did you mean '--check'?\n"},
  };
  for (const Case& c : cases) {
    std::ostringstream out;
    std::ostringstream err;
    CHECK(indexer::run(c.arguments, out, err) == indexer::kWrongUse);
    CHECK(err.str() == c.line);
    CHECK(out.str().empty());
  }
}

TEST_CASE("a missing word list names the package that brings it") {
  CHECK_THROWS_WITH_AS(
      indexer::read_word_list("/nowhere/words", nullptr),
      "cannot read the word list '/nowhere/words': No such file or directory; install the "
      "package wamerican-small, or give a list with --words",
      kb::Error);
}

TEST_CASE("--check writes nothing") {
  const Scratch scratch;
  write_corpus(scratch);
  std::ostringstream out;
  std::ostringstream err;
  CHECK(indexer::run({scratch.at("articles"), "--check"}, out, err) == indexer::kDone);
  CHECK(out.str() ==
        "2 articles without a problem\n");
  CHECK(scratch.names(".").size() == 2);
}

TEST_CASE("a fault in the last page leaves the old database and nothing else") {
  const Scratch scratch;
  write_corpus(scratch);
  scratch.write("out/a.db", "old");
  // Homeowner pages are read last: by then the others are written.
  scratch.write("articles/homeowner/last-page.md", "---\nid: last-page\nkind: homeowner\n---\n");
  const Result result = build(scratch, "out/a.db");
  CHECK(result.code == indexer::kBadInput);
  CHECK(result.err.find("homeowner/last-page.md:1: missing key 'title'") != std::string::npos);
  CHECK(scratch.read("out/a.db") == "old");
  CHECK(scratch.names("out") == std::vector<std::string>{"a.db"});
}

TEST_CASE("a target that cannot be written is told after the faults of the articles") {
  const Scratch scratch;
  write_corpus(scratch);
  scratch.write("articles/basics/old-houses.md", std::string(kPage) + "\n## Limits\nAgain.\n");
  CHECK(build(scratch, "nowhere/a.db").err.find("[KB014]\n1 problem in ") != std::string::npos);
}

TEST_CASE("a database can be sent through a pipe or device") {
  const Scratch scratch;
  write_corpus(scratch);
  std::ostringstream out;
  std::ostringstream err;
  CHECK(indexer::run({scratch.at("articles"), "-o", "/dev/null", "--words", scratch.at("words")}, out, err) ==
        indexer::kDone);
  CHECK(err.str().empty());
}

TEST_CASE("--timing prints the seconds of each stage to standard error") {
  const Scratch scratch;
  write_corpus(scratch);
  std::ostringstream out;
  std::ostringstream err;
  CHECK(indexer::run({scratch.at("articles"), "--check", "--timing"}, out, err) == indexer::kDone);
  std::istringstream lines(err.str());
  std::string names;
  double sum = 0;
  double seconds = 0;
  for (std::string name; lines >> name >> seconds;) {
    names += name + " ";
    CHECK(seconds >= 0);
    sum += name == "all" ? -seconds : seconds;
  }
  CHECK(names == "read yaml markdown checks database knowledge finish other all ");
  CHECK(sum == doctest::Approx(0).epsilon(0.01));
}
