// How well the library's own query path ranks plain text: a folder with docs.tsv (id, title, text),
// queries.tsv (id, text) and qrels.tsv (query, document, grade; over 0 is relevant), such as public test
// collections. Prints the mean average precision (cut at 1000), and the same for plain FTS5 (bm25, porter,
// an OR of the words). Nothing is committed of any collection.
#include <sqlite3.h>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "cli/source.h"
#include "kb/database.h"
#include "kb/knowledge.h"
#include "kb/lexicon.h"
#include "kb/search.h"

namespace {

constexpr std::size_t kCut = 1000;

using Rows = std::vector<std::vector<std::string>>;
using Run = std::map<std::string, std::vector<std::string>>;

Rows rows(const std::string& path) {
  std::ifstream in(path);
  Rows out;
  for (std::string line; std::getline(in, line);) {
    out.emplace_back();
    std::istringstream cells(line);
    for (std::string cell; std::getline(cells, cell, '\t');) out.back().push_back(cell);
    out.back().resize(3);
  }
  return out;
}

double mean_average_precision(const Run& run, const Rows& judgments) {
  std::map<std::string, std::set<std::string>> relevant;
  for (const auto& j : judgments)
    if (std::stoi(j[2]) > 0) relevant[j[0]].insert(j[1]);
  double sum = 0;
  for (const auto& [query, wanted] : relevant) {
    const auto place = run.find(query);
    if (place == run.end()) continue;
    double hits = 0, precision = 0;
    for (std::size_t i = 0; i < place->second.size() && i < kCut; ++i)
      if (wanted.contains(place->second[i])) precision += ++hits / static_cast<double>(i + 1);
    sum += precision / static_cast<double>(wanted.size());
  }
  return relevant.empty() ? 0 : sum / static_cast<double>(relevant.size());
}

// The documents as articles without names, looks or links: what is left is the text.
void fill(const kb::Connection& db, const Rows& docs) {
  const kb::Database own = kb::Database::over_image(cli::built_in_image());
  kb::Lexicon lexicon(kb::load_word_rules(own), {});
  lexicon.set_mode(kb::Lexicon::Mode::plain);
  db.run("BEGIN");
  db.run(kb::kSchemaSql);
  db.run("CREATE VIRTUAL TABLE plain USING fts5(body, content='', tokenize='porter unicode61')");
  db.run("INSERT INTO weight VALUES('text', 8000)");
  kb::Statement article(db.handle(), "INSERT INTO article VALUES(?1,?2,'basics','','','','{}')");
  kb::Statement fts(db.handle(), "INSERT INTO fts(rowid,title,names,look,body) VALUES(?1,'','','',?2)");
  kb::Statement plain(db.handle(), "INSERT INTO plain(rowid,body) VALUES(?1,?2)");
  std::map<std::string, int> articles_with;
  for (std::size_t i = 0; i < docs.size(); ++i) {
    const auto key = static_cast<std::int64_t>(i + 1);
    const std::string text = docs[i][1] + " " + docs[i][2], normal = kb::normal_text(text, lexicon);
    for (auto* s : {&article, &fts, &plain}) s->reset(), s->bind(1, key);
    article.bind(2, std::string_view(docs[i][0]));
    fts.bind(2, std::string_view(normal));
    plain.bind(2, std::string_view(text));
    for (auto* s : {&article, &fts, &plain}) s->step();
    std::istringstream words(normal);
    std::set<std::string> seen;
    for (std::string w; words >> w;)
      if (seen.insert(w).second) ++articles_with[w];
  }
  kb::Statement word(db.handle(), "INSERT INTO corpus_word VALUES(?1,?2)");
  for (const auto& [w, n] : articles_with) {
    word.reset();
    word.bind(1, std::string_view(w));
    word.bind(2, std::int64_t{n});
    word.step();
  }
  kb::Statement general = own.query("SELECT word FROM general_word"), into(db.handle(), "INSERT INTO general_word VALUES(?1)");
  while (general.step()) {
    into.reset();
    into.bind(1, std::string_view(general.text(0)));
    into.step();
  }
  kb::Statement compiled = own.compiled("words"), copy(db.handle(), "INSERT INTO compiled VALUES('words',?1)");
  if (compiled.step()) {
    const std::string bytes = compiled.text(0);
    sqlite3_stmt* raw = nullptr;
    sqlite3_prepare_v2(db.handle(), "INSERT INTO compiled(name,body) VALUES('words',?1)", -1, &raw, nullptr);
    sqlite3_bind_blob(raw, 1, bytes.data(), static_cast<int>(bytes.size()), SQLITE_TRANSIENT);
    sqlite3_step(raw);
    sqlite3_finalize(raw);
  }
  db.run("COMMIT");
}

Run ours(const kb::Database& db, const Rows& queries) {
  kb::FindOptions options;
  options.most = kCut;
  Run out;
  for (const auto& q : queries)
    for (const kb::FindResult& r : kb::find(db, q[1], options).results) out[q[0]].push_back(r.article.id);
  return out;
}

Run plain(const kb::Database& db, const Rows& docs, const Rows& queries) {
  Run out;
  kb::Statement s = db.query("SELECT rowid FROM plain WHERE plain MATCH ?1 ORDER BY bm25(plain), rowid LIMIT 1000");
  for (const auto& q : queries) {
    std::vector<std::string> words(1);
    for (const char c : q[1]) {
      if (std::isalnum(static_cast<unsigned char>(c)) != 0) words.back() += c;
      else if (!words.back().empty()) words.emplace_back();
    }
    s.reset();
    s.bind(1, std::string_view(kb::to_match_query(words)));
    while (s.step()) out[q[0]].push_back(docs[static_cast<std::size_t>(s.integer(0) - 1)][0]);
  }
  return out;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2 || !std::filesystem::exists(std::string(argv[1]) + "/docs.tsv")) {
    std::fputs("usage: plain_search FOLDER (docs.tsv, queries.tsv, qrels.tsv)\n", stderr);
    return 2;
  }
  const std::string folder = argv[1];
  const Rows docs = rows(folder + "/docs.tsv"), queries = rows(folder + "/queries.tsv"), judgments = rows(folder + "/qrels.tsv");
  std::string path = (std::filesystem::temp_directory_path() / "plain-search-XXXXXX").string();
  const int fd = mkstemp(path.data());
  if (fd < 0) return 2;
  close(fd);
  {
    const kb::Connection connection = kb::Connection::to_file(path);
    fill(connection, docs);
    const kb::Database db = kb::Database::over_connection(connection);
    std::printf("%zu documents, %zu queries: MAP of letbe's query path %.4f, of plain FTS5 %.4f\n", docs.size(), queries.size(),
                mean_average_precision(ours(db, queries), judgments), mean_average_precision(plain(db, docs, queries), judgments));
  }
  std::filesystem::remove(path);
}
