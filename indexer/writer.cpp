#include "indexer/writer.h"

#include <algorithm>
#include <functional>
#include <map>
#include <string_view>
#include <unordered_map>
#include <utility>

#include "indexer/front_matter.h"
#include "indexer/question_cues.h"
#include "indexer/timing.h"
#include "indexer/vocabulary_json.h"
#include "kb/articles.h"
#include "kb/database.h"
#include "kb/error.h"
#include "kb/knowledge.h"
#include "kb/lexicon.h"
#include "kb/question.h"
#include "kb/sqlite.h"

namespace indexer {
namespace {

constexpr int kPageSize = 4096;

// Pages of the file that SQLite keeps in memory, and as many again while it copies all at the end. The
// names are stored by their words, in no order of the pages: they have to find their places in it.
constexpr int kCacheKib = 48 * 1024;

void bind(kb::Statement& statement, int parameter, std::string_view text) { statement.bind_in_place(parameter, text); }
void bind(kb::Statement& statement, int parameter, std::int64_t value) { statement.bind(parameter, value); }

// Binds `values` to the parameters from 1 on and runs the statement once.
template <typename... Values>
void insert(kb::Statement& statement, const Values&... values) {
  int parameter = 0;
  (bind(statement, ++parameter, values), ...);
  statement.step();
  statement.reset();
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

Indexed indexed_text(const Page& page, const std::vector<NameKey>& names, const std::vector<const SharedName*>& shared) {
  Indexed out;
  out.title = text_under(page.front, "title");
  for (const NameKey& name : names) add_line(out.names, name.name->text);
  for (const SharedName* name : shared) add_line(out.names, name->name);
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

// Bytes 18 and 19 say how a file is written; 2 would be a write-ahead log, which an image read in
// place cannot have.
void check_header(std::string_view bytes) {
  if (bytes.size() < 20 || bytes[18] != 1 || bytes[19] != 1)
    throw kb::Error("the new database is in the wrong journal mode; build it with another SQLite");
}

// The file as a reader meets it: its articles counted and its knowledge loaded, page by page from the
// disk. What a checksum could tell was read back when it was made.
void verify(const std::string& path, std::int64_t articles) {
  const kb::Connection open = kb::Connection::from_file(path);
  const kb::Database db = kb::Database::over_connection(open);
  auto count = db.query("SELECT count(*) FROM article");
  if (!count.step() || count.integer(0) != articles)
    throw kb::Error("the new database holds another number of articles than were read");
  kb::load_knowledge(db);
}

struct TextHash {
  using is_transparent = void;
  std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
};

}  // namespace

// The tables in the making: each has one statement for all of its rows.
class DatabaseWriter::Tables {
 public:
  Tables(const Corpus& corpus, kb::Lexicon& lexicon, const std::string& path)
      : corpus_(corpus), lexicon_(lexicon), db_(opened(path)), shared_(shared_names(corpus)) {
    for (const SharedName& name : shared_)
      for (const std::string& id : name.ids) shared_of_[id].push_back(&name);
  }

  void add(const Page& page, const std::vector<NameKey>& names) {
    ++key_;
    write_article(page);
    write_sections(page);
    write_lists(page, names);
    if (!page.drawing.empty()) insert(drawing_, key_, std::string_view(page.drawing));
    write_phrases(page, names);
    write_index(page, names);
    cues_.add(page, key_);
    keys_.emplace(page.id, key_);
  }

  void finish(const Extras& extras) {
    write_meta(extras);
    write_words(extras);
    cues_.finish(corpus_, keys_);
    write_vocabulary();
    write_compiled();
    const StageTime time(Stage::finish);
    db_.run("INSERT INTO fts(fts) VALUES('optimize')");
    db_.run("DELETE FROM fts_config WHERE k='automerge'");
    db_.run("COMMIT");
    db_.run("VACUUM");
    check();
  }

  std::int64_t articles() const { return key_; }

 private:
  static kb::Connection opened(const std::string& path) {
    kb::Connection db = kb::Connection::to_file(path);
    db.run("PRAGMA page_size=" + std::to_string(kPageSize));
    db.run("PRAGMA cache_size=-" + std::to_string(kCacheKib));
    db.run("PRAGMA temp_store=FILE");
    db.run("PRAGMA application_id=" + std::to_string(kb::kApplicationId));
    db.run("PRAGMA user_version=" + std::to_string(kb::kSchemaVersion));
    db.run("BEGIN");
    db.run(kb::kSchemaSql);
    // The rows of the index are put together once, at the end.
    db.run("INSERT INTO fts(fts,rank) VALUES('automerge',0)");
    return db;
  }

  kb::Statement statement(std::string_view sql) const { return {db_.handle(), sql}; }

  void write_meta(const Extras& extras) const {
    const std::map<std::string, std::string> rows{
        {"articles", std::to_string(key_)},
        {"corpus-version", full_version(corpus_, extras)},
    };
    auto row = statement("INSERT INTO meta VALUES(?1,?2)");
    for (const auto& [key, value] : rows)
      insert(row, std::string_view(key), std::string_view(value));
  }

  void write_article(const Page& page) {
    kb::Article article;
    article.kind = page.kind->name;
    for (const Section& section : page.sections)
      article.sections.push_back({section.level, section.heading, section.body});
    insert(article_, key_, std::string_view(page.id), std::string_view(page.kind->name),
           std::string_view(text_under(page.front, "title")),
           std::string_view(text_under(page.front, "friability")),
           std::string_view(kb::one_line_caution(article)),
           std::string_view(front_json(page.front)));
    if (const auto years = years_of(page.front))
      insert(years_, key_, std::int64_t{years->first}, std::int64_t{years->last},
             std::string_view(years->soft_end));
  }

  void write_sections(const Page& page) {
    std::int64_t seq = 0;
    for (const Section& section : page.sections)
      insert(section_, key_, seq++, std::int64_t{section.level}, std::string_view(section.heading),
             std::string_view(section.body));
  }

  void write_lists(const Page& page, const std::vector<NameKey>& names) {
    std::int64_t seq = 0;
    for (const NameKey& name : names)
      insert(name_, key_, seq++, std::string_view(name.name->text), std::int64_t{name.heard});
    seq = 0;
    for (const Text& text : texts_under(page.front, "places"))
      insert(place_, key_, seq++, std::string_view(text.text));
    std::map<std::string, std::int64_t> next;
    for (const Link& to : links_of(page.front))
      insert(link_, key_, std::string_view(to.role), next[to.role]++, std::string_view(to.target));
  }

  // Of names with the same words the first stays.
  void write_phrases(const Page& page, const std::vector<NameKey>& names) {
    const auto add = [&](const std::string& key, const std::string& name, bool heard) {
      if (const std::string sound = kb::sound_of(name, lexicon_); sound.size() >= kb::kLeastNameSound)
        insert(name_sound_, std::string_view(sound), key_, std::string_view(name));
      insert(phrase_, std::string_view(key), key_, std::string_view(name), std::int64_t{heard});
    };
    const auto add_names = [&](bool heard) {
      for (const NameKey& name : names)
        if (name.heard == heard) add(name.key, name.name->text, heard);
    };
    const std::string title = text_under(page.front, "title");
    add(name_key(title, lexicon_), title, false);
    add_names(false);
    for (const SharedName* name : shared_with(page)) add(name_key(name->name, lexicon_), name->name, false);
    add_names(true);
  }

  std::vector<const SharedName*> shared_with(const Page& page) const {
    const auto found = shared_of_.find(page.id);
    return found == shared_of_.end() ? std::vector<const SharedName*>() : found->second;
  }

  void write_index(const Page& page, const std::vector<NameKey>& names) {
    const Indexed text = indexed_text(page, names, shared_with(page));
    const std::string columns[] = {counted_text(text.title), counted_text(text.names),
                                   counted_text(text.look), counted_text(text.body)};
    insert(index_, key_, std::string_view(columns[0]), std::string_view(columns[1]),
           std::string_view(columns[2]), std::string_view(columns[3]));
  }

  // What kb::normal_text() gives, its words counted.
  std::string counted_text(const std::string& text) {
    const auto mark = static_cast<std::uint32_t>(key_);
    std::string out;
    out.reserve(text.size());
    for (const kb::Token& token : kb::read_tokens(text, lexicon_)) {
      if (token.word == nullptr) continue;
      if (!out.empty()) out += ' ';
      out += token.word->folded;
      if (std::exchange(token.word->mark, mark) != mark) count_words(token.word->folded);
    }
    return out;
  }

  // In how many articles each word stands; `last` is the one that was counted last.
  struct Articles {
    std::int32_t count = 0;
    std::int64_t last = 0;
  };

  // A short form may be written out as several words.
  void count_words(std::string_view words) {
    for (std::size_t at = 0; at < words.size();) {
      const std::size_t end = std::min(words.find(' ', at), words.size());
      count_word(words.substr(at, end - at));
      at = end + 1;
    }
  }

  void count_word(std::string_view word) {
    auto found = articles_with_.find(word);
    if (found == articles_with_.end()) found = articles_with_.emplace(word, Articles{}).first;
    if (std::exchange(found->second.last, key_) != key_) ++found->second.count;
  }

  void write_words(const Extras& extras) {
    std::vector<std::pair<std::string_view, std::int32_t>> sorted;
    for (const auto& [word, articles] : articles_with_) sorted.emplace_back(word, articles.count);
    std::sort(sorted.begin(), sorted.end());
    auto corpus_word = statement("INSERT INTO corpus_word VALUES(?1,?2)");
    auto sound = statement("INSERT INTO word_sound VALUES(?1,?2,?3)");
    for (const auto& [word, count] : sorted) {
      insert(corpus_word, word, std::int64_t{count});
      // A shorter key sounds like too many words.
      if (const std::string key = kb::sound_key(word); key.size() >= kb::kLeastSound) insert(sound, std::string_view(key), word, std::int64_t{count});
    }
    articles_with_ = {};
    auto general = statement("INSERT INTO general_word VALUES(?1)");
    for (const std::string& word : extras.general_words) insert(general, std::string_view(word));
  }

  void write_vocabulary() const {
    auto row = statement("INSERT INTO vocabulary VALUES(?1,?2)");
    for (const auto& [file, value] : corpus_.vocabulary)
      insert(row, std::string_view(file), std::string_view(vocabulary_json(value)));
  }

  // Words and knowledge made ready, so that the program need not do it at every start.
  void write_compiled() const {
    const StageTime time(Stage::knowledge);
    const kb::Database db = kb::Database::over_connection(db_);
    write_bytes(1, "knowledge", kb::compile_knowledge(db).freeze());
    kb::ByteWriter words;
    kb::compile_word_rules(db).write(words);
    write_bytes(2, "words", words.take());
  }

  void write_bytes(std::int64_t row, const char* name, const std::string& bytes) const {
    auto made = statement("INSERT INTO compiled(rowid,name,body) VALUES(?1,?2,?3)");
    made.bind(1, row);
    made.bind(2, std::string_view(name));
    made.bind_zeros(3, bytes.size());
    made.step();
    made.reset();
    db_.write_blob("compiled", "body", row, bytes);
  }

  void check() const {
    auto integrity = statement("PRAGMA integrity_check");
    if (!integrity.step() || integrity.text(0) != "ok")
      throw kb::Error("the new database is damaged: " + integrity.text(0) + "; is the memory sound?");
  }

  const Corpus& corpus_;
  kb::Lexicon& lexicon_;
  kb::Connection db_;
  std::vector<SharedName> shared_;
  std::unordered_map<std::string, std::vector<const SharedName*>> shared_of_;  // By article.
  std::unordered_map<std::string, Articles, TextHash, std::equal_to<>> articles_with_;
  std::int64_t key_ = 0;
  QuestionCues cues_{db_, lexicon_};
  std::map<std::string, std::int64_t, std::less<>> keys_;  // Of the articles by id.
  kb::Statement article_ = statement("INSERT INTO article VALUES(?1,?2,?3,?4,?5,?6,?7)");
  kb::Statement years_ = statement("INSERT INTO years VALUES(?1,?2,?3,?4)");
  kb::Statement section_ = statement("INSERT INTO section VALUES(?1,?2,?3,?4,?5)");
  kb::Statement drawing_ = statement("INSERT INTO drawing VALUES(?1,?2)");
  kb::Statement name_ = statement("INSERT INTO name VALUES(?1,?2,?3,?4)");
  kb::Statement place_ = statement("INSERT INTO place VALUES(?1,?2,?3)");
  kb::Statement link_ = statement("INSERT INTO link VALUES(?1,?2,?3,?4)");
  kb::Statement phrase_ = statement("INSERT OR IGNORE INTO name_phrase VALUES(?1,?2,?3,?4)");
  kb::Statement name_sound_ = statement("INSERT OR IGNORE INTO name_sound VALUES(?1,?2,?3)");
  kb::Statement index_ = statement("INSERT INTO fts(rowid,title,names,look,body) VALUES(?1,?2,?3,?4,?5)");
};

template <typename Work>
void DatabaseWriter::on_disk(Work work) {
  try {
    work();
  } catch (const kb::DiskError& e) {
    file_.refuse(e.what());
  }
}

DatabaseWriter::DatabaseWriter(const Corpus& corpus, kb::Lexicon& lexicon, const std::string& target)
    : corpus_(corpus), file_(target) {
  const StageTime time(Stage::database);
  on_disk([&] { tables_ = std::make_unique<Tables>(corpus_, lexicon, file_.path()); });
}

DatabaseWriter::~DatabaseWriter() = default;

void DatabaseWriter::add(const Page& page, const std::vector<NameKey>& names) {
  const StageTime time(Stage::database);
  on_disk([&] { tables_->add(page, names); });
}

std::uintmax_t DatabaseWriter::finish(const Extras& extras) {
  const StageTime time(Stage::database);
  on_disk([&] { tables_->finish(extras); });
  const StageTime rest(Stage::finish);
  const std::int64_t articles = tables_->articles();
  tables_.reset();
  file_.append(kb::kTrailerMagic);
  kb::Sha256 digest;
  std::uintmax_t size = kb::kTrailerSize - kb::kTrailerMagic.size();
  bool first = true;
  file_.read([&](std::string_view part) {
    if (std::exchange(first, false)) check_header(part);
    digest.add(part);
    size += part.size();
  });
  file_.append(digest.take());
  file_.commit([&](const std::string& path) { verify(path, articles); });
  return size;
}

std::string full_version(const Corpus& corpus, const Extras& extras) {
  return corpus.version + "+" + extras.digest;
}

}  // namespace indexer
