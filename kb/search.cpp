#include "kb/search.h"

#include <algorithm>
#include <map>
#include <set>

#include "kb/knowledge.h"
#include "kb/lexicon.h"
#include "kb/question.h"
#include "kb/typed.h"

namespace kb {
namespace {

constexpr std::size_t kLongestName = 7;     // Words of the longest name looked up whole.
constexpr double kPeriodSink = 0.45;
constexpr int kSoftYears = 10;
constexpr double kBelow = 0.01;             // A linked page stays so much below the best.
constexpr std::int64_t kLongestEra = 150;   // Years.
constexpr std::size_t kLongestHeard = 6;     // Words of a name by its sound.
constexpr std::size_t kCandidates = 50;

struct Candidate {
  ArticleInfo article;
  double score = 0, text = 0, names = 0, look = 0, asked = 0, kind = 0, era = 0, linked = 0, period = 1;
  std::vector<std::string> met;       // Names.
};

class Finder {
 public:
  Finder(const Database& db, const FindOptions& options)
      : db_(db), options_(options), weights_(db), lexicon_(load_word_rules(db), {}),
        info_(db.query("SELECT a.id, a.kind, a.title, a.friability, a.caution, y.first, y.last FROM article a INDEXED BY article_brief "
                       "LEFT JOIN years y ON y.article=a.key WHERE a.key=?1")) {}

  FindAnswer find(std::string_view text) {
    answer_.query = std::string(text);
    typed_ = read_typed(db_, lexicon_, text);
    answer_.corrections = typed_.corrections;
    answer_.year = options_.built ? options_.built : typed_.year;
    const std::vector<std::string>& asked = typed_.asked;
    answer_.words = typed_.different;
    answer_.words_asked = asked.size();
    by_text(asked);
    by_name();
    by_question();
    name_articles();
    weigh();
    by_links();
    keep_filtered();
    std::vector<Candidate*> ranked;
    for (auto& [key, c] : candidates_) ranked.push_back(&c);
    std::stable_sort(ranked.begin(), ranked.end(), [](const Candidate* a, const Candidate* b) {
      return a->score != b->score ? a->score > b->score : a->article.key < b->article.key;
    });
    if (ranked.size() > options_.most) ranked.resize(options_.most);
    for (const Candidate* c : ranked) answer_.results.push_back(result(*c, asked));
    if (answer_.results.empty() && !typed_.words.empty()) nearest();
    return std::move(answer_);
  }

 private:
  Candidate& candidate(std::int64_t key) {
    const auto place = candidates_.find(key);
    if (place != candidates_.end()) return place->second;
    Candidate c;
    c.article.key = key;
    return candidates_.emplace(key, std::move(c)).first->second;
  }

  void by_text(const std::vector<std::string>& words) {
    const std::string match = to_match_query(words);
    if (match.empty()) return;
    // The weights are named in the query: a rank function stored in a foreign file must not count.
    Statement s = db_.query("SELECT rowid, bm25(fts, 8.0, 5.0, 3.0, 1.0) AS score FROM fts WHERE fts MATCH ?1 ORDER BY score, rowid LIMIT ?2");
    s.bind(1, match);
    s.bind(2, static_cast<std::int64_t>(std::max(kCandidates, options_.most)));
    while (s.step()) candidate(s.integer(0)).text = -s.real(1);
  }

  // Rows of typed words that are a name; a longer row beats the shorter ones inside it.
  void by_name() {
    struct Met {
      std::size_t first, length;
      std::int64_t article;
      std::string name;
      bool heard;
    };
    std::vector<Met> all;
    Statement s = db_.query("SELECT phrase, article, name, heard FROM name_phrase WHERE phrase>=?1 ORDER BY phrase");
    for_phrases(s, typed_.stems, kLongestName, [&](std::size_t first, std::size_t length) {
      all.push_back({first, length, s.integer(1), s.text(2), s.integer(3) != 0});
    });
    std::stable_sort(all.begin(), all.end(), [](const Met& a, const Met& b) { return a.length > b.length; });
    by_sound();
    std::vector<std::size_t> taken(typed_.stems.size(), 0);  // The length of the name that holds a word.
    for (const Met& m : all) {
      const auto begin = taken.begin() + static_cast<std::ptrdiff_t>(m.first), end = begin + static_cast<std::ptrdiff_t>(m.length);
      if (std::any_of(begin, end, [&](std::size_t t) { return t > m.length; })) continue;
      std::fill(begin, end, m.length);
      Candidate& c = candidate(m.article);
      const double words = static_cast<double>(std::min<std::size_t>(m.length, 4) - 1);
      const double points = (weights_["name"] + weights_["name-word"] * words) * (m.heard ? weights_["heard"] : 1);
      // The longest name counts whole, others of the same article a little.
      c.names = std::max(c.names, points) + 0.2 * std::min(c.names, points);
      c.met.push_back(m.name);
    }
  }

  // Rows of words that together sound like a name and are not its words: "trance site". One of them at least is
  // no word of the corpus.
  void by_sound() {
    Statement s = db_.query("SELECT sound, article, name FROM name_sound WHERE sound>=?1 ORDER BY sound");
    for (std::size_t i = 0; i < typed_.sounds.size() && i < kMostWords; ++i) {
      std::string sound;
      bool unknown = false;
      for (std::size_t j = i; j < typed_.sounds.size() && j < i + kLongestHeard && !typed_.sounds[j].empty(); ++j) {
        sound += typed_.sounds[j];
        unknown = unknown || !typed_.known[j];
        s.reset();
        s.bind(1, std::string_view(sound));
        bool goes_on = false;
        while (s.step()) {
          const std::string_view row = s.bytes(0);
          goes_on = row.starts_with(sound);
          if (row != sound) break;
          if (!unknown || sound.size() < kLeastNameSound) continue;
          Candidate& c = candidate(s.integer(1));
          c.names = std::max(c.names, (weights_["name"] + weights_["name-word"]) * weights_["heard"]);
          c.met.push_back(s.text(2));
        }
        if (!goes_on) break;
      }
    }
  }

  void by_question() {
    asked_ = read_question(db_, weights_, typed_.stems, options_.reader);
    for (const auto& [key, points] : asked_.looks) candidate(key).look = points;
    for (const auto& [key, points] : asked_.lifts) candidate(key).asked = points;
    add_lookalikes();
    if (!typed_.year) return;
    Statement eras = db_.query("SELECT a.key FROM article a WHERE a.kind='era'");
    while (eras.step()) candidate(eras.integer(0));
  }

  // "Orange-red liner at the chimney": a word against the suspect material speaks for what it is mistaken for.
  void add_lookalikes() {
    Statement links = db_.query("SELECT a.key FROM link l JOIN article a ON a.id=l.target WHERE l.source=?1 AND l.role='mistaken-for' AND a.kind='lookalike'");
    for (const auto& [key, points] : asked_.modern) {
      links.reset();
      links.bind(1, key);
      while (links.step()) {
        double& look = candidate(links.integer(0)).look;
        look = std::max(look, points * weights_["against"]);
      }
    }
  }

  void name_articles() {
    for (auto& [key, c] : candidates_) {
      info_.reset();
      info_.bind(1, key);
      if (info_.step()) c.article = {key, info_.text(0), info_.text(1), info_.text(2)};
    }
  }

  // The text is measured against the best match, so that the other points weigh the same in every question.
  void weigh() {
    double best = 0;
    for (const auto& [key, c] : candidates_) {
      best = std::max(best, c.text);
      named_ = named_ || (c.article.kind == "material" && c.names > 0);
    }
    for (auto& [key, c] : candidates_) {
      if (best > 0) c.text *= weights_["text"] / best;
      const auto lifted = asked_.kinds.find(c.article.kind);
      c.kind = weights_["kind-" + c.article.kind] + (lifted == asked_.kinds.end() ? 0 : lifted->second);
      if (c.article.kind == "era") c.era = era_points(key);
      c.score = c.text + c.names + c.look + c.asked + c.kind + c.era;
    }
    if (answer_.year) by_period();
  }

  // What the best article leads to belongs beside it: the system it is part of above all. Never above it.
  void by_links() {
    const Candidate* best = nullptr;
    for (const auto& [key, c] : candidates_)
      if (best == nullptr || c.score > best->score) best = &c;
    if (best == nullptr || best->score <= 0) return;
    const double top = best->score;
    const std::int64_t top_key = best->article.key;
    std::map<std::string, std::int64_t, std::less<>> keys;
    for (const auto& [key, c] : candidates_) keys.emplace(c.article.id, key);
    Statement links = db_.query("SELECT role, target FROM link WHERE source=?1");
    links.bind(1, top_key);
    while (links.step()) {
      const double points = weights_["linked-" + links.text(0)];
      if (points <= 0) continue;
      const auto known = keys.find(links.bytes(1));
      if (known == keys.end()) continue;  // Not a word of the question is in it.
      Candidate& c = candidate(known->second);
      if (c.article.key == top_key || c.linked >= points || c.score >= top) continue;
      c.score = std::min(c.score - c.linked + points, top - kBelow);
      c.linked = points;
    }
  }

  // A year that was typed asks for its era.
  double era_points(std::int64_t key) {
    if (!typed_.year) return 0;
    Statement years = db_.query("SELECT first, last FROM years WHERE article=?1");
    years.bind(1, key);
    if (!years.step()) return 0;
    const bool holds = *typed_.year >= years.integer(0) && *typed_.year <= years.integer(1);
    // A page for houses of any year is not meant by one.
    const double points = holds && years.integer(1) - years.integer(0) < kLongestEra ? weights_["era"] : holds ? 0 : weights_["other-era"];
    return points * (named_ ? weights_["era-named"] : 1);
  }

  // Materials of the year rise, others sink; they are not hidden.
  void by_period() {
    Statement years = db_.query("SELECT first, last FROM years WHERE article=?1");
    for (auto& [key, c] : candidates_) {
      if (c.article.kind != "material") continue;
      years.reset();
      years.bind(1, key);
      if (!years.step()) continue;
      const bool late = *answer_.year > years.integer(1) + kSoftYears, early = *answer_.year < years.integer(0) - kSoftYears;
      c.period = late || early ? kPeriodSink : 1;
      if (c.score > 0) c.score *= c.period;
      if (c.period == 1) c.score += weights_["in-period"];
      if (late && c.look + c.names > 0) too_late_.emplace_back(key, std::min(c.look + c.names, weights_["look"]) * weights_["against"]);
    }
    // What looks so in a house too young for it is rather what it is mistaken for.
    Statement links = db_.query("SELECT a.key FROM link l JOIN article a ON a.id=l.target WHERE l.source=?1 AND l.role='mistaken-for' AND a.kind='lookalike'");
    for (const auto& [key, points] : too_late_) {
      links.reset();
      links.bind(1, key);
      while (links.step()) {
        const auto place = candidates_.find(links.integer(0));
        if (place == candidates_.end() || place->second.look >= points) continue;
        place->second.score += points - place->second.look;
        place->second.look = points;
      }
    }
  }

  void keep_filtered() {
    if (options_.kind.empty() && options_.system.empty() && options_.place.empty()) return;
    const std::string place = stemmed_text(options_.place, lexicon_);
    std::erase_if(candidates_, [&](const auto& entry) {
      const Candidate& c = entry.second;
      info_.reset();
      info_.bind(1, c.article.key);
      if (!info_.step() || (!options_.kind.empty() && info_.text(1) != options_.kind)) return true;
      if (!place.empty() && !found_at(c.article.key, place)) return true;
      if (options_.system.empty() || info_.text(0) == options_.system) return false;
      Statement s = db_.query("SELECT 1 FROM link WHERE source=?1 AND role='systems' AND target=?2");
      s.bind(1, c.article.key);
      s.bind(2, options_.system);
      return !s.step();
    });
  }

  // Is one of an article's places, or its title, the place that was asked for?
  bool found_at(std::int64_t key, const std::string& place) {
    Statement s = db_.query("SELECT text FROM place WHERE article=?1 UNION ALL SELECT title FROM article WHERE key=?1");
    s.bind(1, key);
    while (s.step())
      if ((' ' + stemmed_text(s.text(0), lexicon_) + ' ').find(' ' + place + ' ') != std::string::npos) return true;
    return false;
  }

  // Which of the words an article holds, asked once for each word.
  bool holds(const std::string& word, std::int64_t key) {
    auto place = holders_.find(word);
    if (place == holders_.end()) {
      std::set<std::int64_t> keys;
      Statement s = db_.query("SELECT rowid FROM fts WHERE fts MATCH ?1");
      s.bind(1, to_match_query({word}));
      while (s.step()) keys.insert(s.integer(0));
      place = holders_.emplace(word, std::move(keys)).first;
    }
    return place->second.contains(key);
  }

  FindResult result(const Candidate& c, const std::vector<std::string>& asked) {
    FindResult r;
    info_.reset();
    info_.bind(1, c.article.key);
    if (info_.step()) {
      r.article = {c.article.key, info_.text(0), info_.text(1), info_.text(2)};
      r.friability = info_.text(3);
      r.caution = info_.text(4);
      if (!info_.is_null(5)) r.years = std::to_string(info_.integer(5)) + " to " + std::to_string(info_.integer(6));
    }
    r.score = c.score;
    for (const std::string& name : c.met) r.matched.push_back("name: " + name);
    for (const std::string& word : asked)
      if (holds(word, c.article.key)) r.matched.push_back(word);
    char parts[160];
    std::snprintf(parts, sizeof parts, "text %.1f + names %.1f + look %.1f + asked %.1f + kind %.1f + era %.1f + linked %.1f, period x %.2f", c.text, c.names, c.look, c.asked, c.kind, c.era, c.linked, c.period);
    r.parts = parts;
    return r;
  }

  // Titles and ids by likeness of spelling, said to be near only.
  void nearest() {
    std::vector<std::pair<int, ArticleInfo>> ranked;
    for (ArticleInfo& a : list_articles(db_)) {
      if (!options_.kind.empty() && a.kind != options_.kind) continue;
      int best = 100;
      std::string text = a.id;
      std::replace(text.begin(), text.end(), '-', ' ');
      for (const Token& t : read_tokens(text + " " + a.title, lexicon_))
        if (t.word != nullptr)
          for (const std::string& w : typed_.words) best = std::min(best, edit_distance(w, t.word->folded, 12));
      ranked.emplace_back(best, std::move(a));
    }
    std::stable_sort(ranked.begin(), ranked.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < ranked.size() && i < 3; ++i) {
      Candidate c;
      c.article = ranked[i].second;
      answer_.nearest.push_back(result(c, {}));
    }
  }

  const Database& db_;
  const FindOptions& options_;
  QuestionWeights weights_;
  Asked asked_;
  Lexicon lexicon_;
  Statement info_;
  Typed typed_;
  std::vector<std::pair<std::int64_t, double>> too_late_;  // Materials, and what that speaks for.
  bool named_ = false;                // A material is.
  std::map<std::int64_t, Candidate> candidates_;
  std::map<std::string, std::set<std::int64_t>> holders_;
  FindAnswer answer_;
};

}  // namespace

std::string to_match_query(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& word : words) {
    std::string quoted;
    for (const char c : word) {
      if (c == '\0') continue;
      if (c == '"') quoted += '"';
      quoted += c;
    }
    if (quoted.empty()) continue;
    if (!out.empty()) out += " OR ";
    out += '"' + quoted + '"';
  }
  return out;
}

FindAnswer find(const Database& db, std::string_view typed, const FindOptions& options) {
  return Finder(db, options).find(typed);
}

}  // namespace kb
