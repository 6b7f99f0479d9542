#include "indexer/writer.h"

#include <algorithm>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include "indexer/checks.h"
#include "indexer/front_matter.h"
#include "indexer/vocabulary_json.h"
#include "kb/articles.h"
#include "kb/atomic_file.h"
#include "kb/database.h"
#include "kb/error.h"
#include "kb/knowledge.h"
#include "kb/lexicon.h"
#include "kb/sqlite.h"

namespace indexer {
namespace {

constexpr int kPageSize = 4096;

// Binds `values` to the parameters from 1 on and runs the statement once.
template <typename... Values>
void insert(kb::Statement& statement, const Values&... values) {
  statement.reset();
  int parameter = 0;
  (statement.bind(++parameter, values), ...);
  statement.step();
}

void add_line(std::string& text, const std::string& more) {
  text += more;
  text += '\n';
}

// The four columns of the full-text index, as written in the article.
struct Indexed {
  std::string title;
  std::string names;
  std::string look;
  std::string body;
};

Indexed indexed_text(const Page& page, const std::vector<SharedName>& shared) {
  Indexed out;
  out.title = text_under(page.front, "title");
  for (const char* key : {"names", "heard-as"})
    for (const Text& name : texts_under(page.front, key)) add_line(out.names, name.text);
  for (const SharedName& name : shared)
    for (const std::string& id : name.ids)
      if (id == page.id) add_line(out.names, name.name);
  for (const SeenAs& rule : seen_as_of(page.front)) {
    for (const auto& group : rule.all_of)
      for (const std::string& word : group) add_line(out.look, word);
    for (const std::string& word : rule.any_of) add_line(out.look, word);
  }
  bool look = false;
  for (const Section& section : page.sections) {
    if (section.level == 2) look = section.heading == "How it looks";
    std::string& column = look ? out.look : out.body;
    if (!look) add_line(column, section.heading);
    add_line(column, section.body);
  }
  return out;
}

class Writer {
 public:
  Writer(const Corpus& corpus, const Extras& extras, const kb::Connection& db)
      : corpus_(corpus), extras_(extras), db_(db), lexicon_(word_rules(corpus), {}) {}

  void write() {
    prepare();
    db_.run("BEGIN");
    db_.run(kb::kSchemaSql);
    write_meta();
    write_plan();
    write_articles();
    write_words();
    write_vocabulary();
    write_compiled();
    db_.run("INSERT INTO fts(fts) VALUES('optimize')");
    db_.run("COMMIT");
    db_.run("VACUUM");
    check();
  }

 private:
  kb::Statement statement(std::string_view sql) const { return {db_.handle(), sql}; }

  void prepare() const {
    db_.run("PRAGMA page_size=" + std::to_string(kPageSize));
    db_.run("PRAGMA journal_mode=DELETE");
    db_.run("PRAGMA temp_store=MEMORY");
    db_.run("PRAGMA application_id=" + std::to_string(kb::kApplicationId));
    db_.run("PRAGMA user_version=" + std::to_string(kb::kSchemaVersion));
  }

  void write_meta() const {
    const std::map<std::string, std::string> rows{
        {"articles", std::to_string(corpus_.pages.size())},
        {"corpus-version", full_version(corpus_, extras_)},
        {"planned", std::to_string(corpus_.plan.size())},
        {"written",
         std::to_string(static_cast<int>(corpus_.plan.size()) - count_unwritten(corpus_).pages)},
    };
    auto row = statement("INSERT INTO meta VALUES(?1,?2)");
    for (const auto& [key, value] : rows)
      insert(row, std::string_view(key), std::string_view(value));
  }

  void write_plan() const {
    auto row = statement("INSERT INTO planned VALUES(?1,?2,?3)");
    for (const auto& [id, planned] : corpus_.plan)
      insert(row, std::string_view(id), std::string_view(planned.kind),
             std::string_view(planned.title));
  }

  void write_articles() {
    const std::vector<SharedName> shared = shared_names(corpus_);
    std::int64_t key = 0;
    for (const Page& page : corpus_.pages) {
      ++key;
      write_article(key, page);
      write_sections(key, page);
      write_lists(key, page);
      write_phrases(key, page, shared);
      write_index(key, indexed_text(page, shared));
    }
  }

  void write_article(std::int64_t key, const Page& page) const {
    kb::Article article;
    article.kind = page.kind->name;
    for (const Section& section : page.sections)
      article.sections.push_back({section.level, section.heading, section.body});
    auto row = statement("INSERT INTO article VALUES(?1,?2,?3,?4,?5,?6,?7)");
    insert(row, key, std::string_view(page.id), std::string_view(page.kind->name),
           std::string_view(text_under(page.front, "title")),
           std::string_view(text_under(page.front, "friability")),
           std::string_view(kb::one_line_caution(article)),
           std::string_view(front_json(page.front)));
    if (const auto years = years_of(page.front)) {
      auto span = statement("INSERT INTO years VALUES(?1,?2,?3,?4)");
      insert(span, key, std::int64_t{years->first}, std::int64_t{years->last},
             std::string_view(years->soft_end));
    }
  }

  void write_sections(std::int64_t key, const Page& page) const {
    auto row = statement("INSERT INTO section VALUES(?1,?2,?3,?4,?5)");
    std::int64_t seq = 0;
    for (const Section& section : page.sections)
      insert(row, key, seq++, std::int64_t{section.level}, std::string_view(section.heading),
             std::string_view(section.body));
  }

  void write_lists(std::int64_t key, const Page& page) const {
    auto name = statement("INSERT INTO name VALUES(?1,?2,?3,?4)");
    std::int64_t seq = 0;
    for (const Text& text : texts_under(page.front, "names"))
      insert(name, key, seq++, std::string_view(text.text), std::int64_t{0});
    for (const Text& text : texts_under(page.front, "heard-as"))
      insert(name, key, seq++, std::string_view(text.text), std::int64_t{1});
    auto place = statement("INSERT INTO place VALUES(?1,?2,?3)");
    seq = 0;
    for (const Text& text : texts_under(page.front, "places"))
      insert(place, key, seq++, std::string_view(text.text));
    auto link = statement("INSERT INTO link VALUES(?1,?2,?3,?4)");
    std::map<std::string, std::int64_t> next;
    for (const Link& to : links_of(page.front))
      insert(link, key, std::string_view(to.role), next[to.role]++, std::string_view(to.target));
  }

  void write_phrases(std::int64_t key, const Page& page, const std::vector<SharedName>& shared) {
    auto row = statement("INSERT OR IGNORE INTO name_phrase VALUES(?1,?2,?3,?4)");
    const auto add = [&](const std::string& name, std::int64_t heard) {
      insert(row, std::string_view(kb::stemmed_text(name, lexicon_)), key, std::string_view(name),
             heard);
    };
    add(text_under(page.front, "title"), 0);
    for (const Text& text : texts_under(page.front, "names")) add(text.text, 0);
    for (const SharedName& name : shared)
      if (std::find(name.ids.begin(), name.ids.end(), page.id) != name.ids.end()) add(name.name, 0);
    for (const Text& text : texts_under(page.front, "heard-as")) add(text.text, 1);
  }

  void write_index(std::int64_t key, const Indexed& text) {
    auto row = statement("INSERT INTO fts(rowid,title,names,look,body) VALUES(?1,?2,?3,?4,?5)");
    const std::string columns[] = {
        kb::normal_text(text.title, lexicon_), kb::normal_text(text.names, lexicon_),
        kb::normal_text(text.look, lexicon_), kb::normal_text(text.body, lexicon_)};
    insert(row, key, std::string_view(columns[0]), std::string_view(columns[1]),
           std::string_view(columns[2]), std::string_view(columns[3]));
    std::set<std::string> distinct;
    for (const std::string& column : columns)
      for (std::size_t at = 0; at < column.size();) {
        const std::size_t end = std::min(column.find(' ', at), column.size());
        distinct.insert(column.substr(at, end - at));
        at = end + 1;
      }
    for (const std::string& word : distinct) ++articles_with_[word];
  }

  void write_words() const {
    auto corpus_word = statement("INSERT INTO corpus_word VALUES(?1,?2)");
    for (const auto& [word, count] : articles_with_)
      insert(corpus_word, std::string_view(word), count);
    auto general = statement("INSERT INTO general_word VALUES(?1)");
    for (const std::string& word : extras_.general_words) insert(general, std::string_view(word));
  }

  void write_vocabulary() const {
    auto row = statement("INSERT INTO vocabulary VALUES(?1,?2)");
    for (const auto& [file, value] : corpus_.vocabulary)
      insert(row, std::string_view(file), std::string_view(vocabulary_json(value)));
  }

  // What is written so far as an image that can be read: the size in the header (bytes 28 to 31) is
  // set only when a transaction ends.
  std::vector<unsigned char> image() const {
    const std::string bytes = db_.image();
    std::vector<unsigned char> out(bytes.begin(), bytes.end());
    const auto pages = static_cast<std::uint32_t>(bytes.size() / kPageSize);
    for (std::size_t i = 0; i < 4; ++i)
      out[28 + i] = static_cast<unsigned char>(pages >> (8 * (3 - i)));
    out.resize(out.size() + kb::kTrailerSize);
    return out;
  }

  // Words and knowledge made ready, so that the program need not do it at every start.
  void write_compiled() const {
    const std::vector<unsigned char> so_far = image();
    const kb::Database db = kb::Database::over_image(so_far);
    kb::ByteWriter words;
    kb::compile_word_rules(db).write(words);
    auto row = statement("INSERT INTO compiled VALUES(?1,?2)");
    const std::pair<const char*, std::string> rows[] = {
        {"knowledge", kb::compile_knowledge(db).freeze()}, {"words", words.take()}};
    for (const auto& [name, bytes] : rows) {
      row.reset();
      row.bind(1, std::string_view(name));
      row.bind_blob(2, bytes);
      row.step();
    }
  }

  void check() const {
    auto integrity = statement("PRAGMA integrity_check");
    if (!integrity.step() || integrity.text(0) != "ok")
      throw kb::Error("the new database is damaged: " + integrity.text(0) + "; is the memory sound?");
  }

  const Corpus& corpus_;
  const Extras& extras_;
  const kb::Connection& db_;
  kb::Lexicon lexicon_;
  std::map<std::string, std::int64_t> articles_with_;
};

// Bytes 18 and 19 say how a file is written; 2 would be a write-ahead log, which an image read in
// place cannot have.
void check_header(const std::string& bytes) {
  if (bytes[18] != 1 || bytes[19] != 1)
    throw kb::Error("the new database is in the wrong journal mode; build it with another SQLite");
}

// The finished database as bytes. It is built in memory, so that no half of it is ever on a disk.
std::string built(const Corpus& corpus, const Extras& extras) {
  const kb::Connection db = kb::Connection::in_memory();
  Writer(corpus, extras, db).write();
  return db.image();
}

void verify(const std::string& path, const Corpus& corpus) {
  const kb::Database db = kb::Database::from_file(path);
  auto count = db.query("SELECT count(*) FROM article");
  if (!count.step() || count.integer(0) != static_cast<std::int64_t>(corpus.pages.size()))
    throw kb::Error("the new database holds another number of articles than were read");
  kb::load_knowledge(db);
}

}  // namespace

std::string full_version(const Corpus& corpus, const Extras& extras) {
  return corpus.version + "+" + extras.digest;
}

std::uintmax_t write_database(const Corpus& corpus, const Extras& extras,
                              const std::string& target) {
  std::string bytes = built(corpus, extras);
  check_header(bytes);
  bytes += kb::kTrailerMagic;
  bytes += kb::sha256(bytes);
  kb::write_file_atomically(target, bytes,
                            [&](const std::string& path) { verify(path, corpus); });
  return bytes.size();
}

}  // namespace indexer
