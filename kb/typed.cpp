#include "kb/typed.h"

#include <algorithm>
#include <charconv>
#include <map>
#include <set>

#include "kb/question.h"
#include "kb/text.h"

namespace kb {
namespace {

constexpr std::size_t kShortWord = 4;       // So short a word is near to many: only a frequent one is meant.
constexpr std::int64_t kKnownWell = 8;      // Articles.
constexpr std::size_t kLeastTogether = 4;    // Consonants of two words that sound like one.

class TypedReader {
 public:
  TypedReader(const Database& db, Lexicon& lexicon)
      : db_(db), lexicon_(lexicon), count_(db.query("SELECT articles FROM corpus_word WHERE word=?1")) {}

  Typed read(std::string_view text) {
    read_words(text);
    choose_rarest();
    return std::move(out_);
  }

 private:
  std::int64_t articles_with(const std::string& word) {
    count_.reset();
    count_.bind(1, word);
    return count_.step() ? count_.integer(0) : 0;
  }

  void read_words(std::string_view text) {
    std::set<std::string> told;
    std::vector<Token> tokens;
    for (const Token& t : read_tokens(text, lexicon_))
      if (t.word != nullptr) tokens.push_back(t);
    for (std::size_t i = 0; i < tokens.size(); ++i) {
      const Token& t = tokens[i];
      std::string word = t.word->folded;
      const std::string typed = to_valid_utf8(text.substr(t.begin, t.end - t.begin));
      read_year(word);
      out_.sounds.push_back(t.number ? std::string() : t.word->sound);
      out_.known.push_back(articles_with(word) > 0);
      if (!out_.known.back()) {
        std::string better = i + 1 < tokens.size() ? run_together(t, tokens[i + 1]) : std::string();
        if (!better.empty()) {
          // "chim knees": both words are one that was heard apart.
          const Token& next = tokens[++i];
          const std::string both = typed + " " + to_valid_utf8(text.substr(next.begin, next.end - next.begin));
          if (told.insert(both).second) out_.corrections.push_back({both, better});
          out_.words.push_back(word);
          out_.words.push_back(next.word->folded);
          out_.words.push_back(better);
          out_.stems.push_back(lexicon_.stem_of(better));
          continue;
        }
        better = corrected(word, t.word->sound);
        if (!better.empty()) {
          if (told.insert(word).second) out_.corrections.push_back({typed, better});
          out_.words.push_back(word);  // What was typed is asked too, but is no part of a name.
          word = better;
        }
      }
      out_.words.push_back(word);
      out_.stems.push_back(lexicon_.stem_of(word));
    }
  }

  // "1956" and "50s" as typed; a house's own year (--built) says nothing of what is asked for.
  void read_year(const std::string& word) {
    int value = 0;
    const auto end = std::from_chars(word.data(), word.data() + word.size(), value);
    const bool decade = end.ptr == word.data() + word.size() - 1 && word.back() == 's';
    if (decade && word.size() == 3) value += 1900;
    if ((decade || end.ptr == word.data() + word.size()) && value >= 1800 && value <= 2100 && !out_.year) out_.year = value;
  }

  // The corpus word that two words sound like, when the first is none of the corpus.
  std::string run_together(const Token& first, const Token& second) {
    if (first.number || second.number) return {};
    const std::string sound = first.word->sound + second.word->sound;
    if (first.word->sound.empty() || second.word->sound.empty() || sound.size() < kLeastTogether) return {};
    const std::string word = sounds_like(sound);
    // As long as the two, or nearly: "knees" must have been heard, and not left out.
    return word.size() + 3 < first.word->folded.size() + second.word->folded.size() ? std::string() : word;
  }

  // The corpus word of this sound that stands in most articles.
  std::string sounds_like(const std::string& sound) {
    Statement s = db_.query("SELECT word FROM word_sound WHERE sound=?1 ORDER BY articles DESC, word LIMIT 1");
    s.bind(1, sound);
    return s.step() ? s.text(0) : std::string();
  }

  // The nearest corpus word: never for general words, digits, or across a negating prefix.
  std::string corrected(const std::string& word, const std::string& sound) {
    if (word.size() < 4 || word.size() > 30 || word.find_first_of("0123456789") != std::string::npos || db_.general_word(word)) return {};
    const int limit = word.size() >= 8 ? 2 : 1;
    std::string from(1, word[0]), to(1, static_cast<char>(static_cast<unsigned char>(word[0]) + 1));
    Statement s = db_.query("SELECT word, articles FROM corpus_word WHERE word>=?1 AND word<?2");
    s.bind(1, from);
    s.bind(2, to);
    std::string best;
    int best_distance = limit + 1;
    std::int64_t best_count = 0;
    while (s.step()) {
      const std::string known = s.text(0);
      const int distance = edit_distance(word, known, limit);
      if (word.size() == kShortWord && s.integer(1) < kKnownWell) continue;
      if (distance > limit || distance > best_distance || (distance == best_distance && s.integer(1) <= best_count)) continue;
      const auto& prefixes = lexicon_.rules().negating_prefixes;
      if (std::any_of(prefixes.begin(), prefixes.end(), [&](const std::string& p) { return known == p + word || word == p + known; })) continue;
      best = known;
      best_distance = distance;
      best_count = s.integer(1);
    }
    // A word that sounds the same and is no further in spelling: "flews".
    if (sound.size() >= kLeastSound) {
      const std::string heard = sounds_like(sound);
      if (!heard.empty() && heard != best && edit_distance(word, heard, limit + 1) <= std::min(best_distance, limit + 1)) return heard;
    }
    return best;
  }

  // Of a long question the rarest words; quiet ones only when there are no others.
  void choose_rarest() {
    std::map<std::string, std::int64_t> counts;
    const auto& quiet = lexicon_.rules().quiet;
    for (const std::string& w : out_.words)
      if (std::find(quiet.begin(), quiet.end(), w) == quiet.end()) counts.emplace(w, 0);
    if (counts.empty())
      for (const std::string& w : out_.words) counts.emplace(w, 0);
    out_.different = counts.size();
    std::vector<std::string>& out = out_.asked;
    if (counts.size() <= kMostWords) {
      for (const auto& [w, n] : counts) out.push_back(w);
    } else {
      std::vector<std::pair<std::int64_t, std::string>> ranked;
      for (auto& [w, n] : counts)
        if (const std::int64_t with = articles_with(w); with > 0) ranked.emplace_back(with, w);
      std::sort(ranked.begin(), ranked.end());
      if (ranked.size() > kMostWords) ranked.resize(kMostWords);
      for (auto& [n, w] : ranked) out.push_back(std::move(w));
    }
  }

  const Database& db_;
  Lexicon& lexicon_;
  Statement count_;
  Typed out_;
};

}  // namespace

Typed read_typed(const Database& db, Lexicon& lexicon, std::string_view text) { return TypedReader(db, lexicon).read(text); }

}  // namespace kb
