#include "kb/lexicon.h"

#include <algorithm>
#include <cstddef>

namespace kb {
namespace {

constexpr std::size_t kSeenLimit = 200'000;  // Bounds memory over a long row of notes.

constexpr std::size_t kShortestCorrected = 4;

bool has_digit(std::string_view word) {
  return std::any_of(word.begin(), word.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// One read token that stands for several raw ones.
Token merged(const RawToken& first, std::uint32_t end, const WordInfo& word) {
  return {first.begin, end, word.id, 0, first.space_before, true, &word};
}

// Walks over the raw tokens of a text and joins numbers with their units.
class Reader {
 public:
  Reader(std::string_view text, Lexicon& lexicon)
      : text_(text), lexicon_(lexicon), raw_(split(text)), words_(raw_.size(), nullptr) {}

  std::vector<Token> read() {
    std::vector<Token> out;
    out.reserve(raw_.size());
    for (std::size_t i = 0; i < raw_.size();) {
      if (const std::size_t used = read_size(i, out); used > 0) {
        i += used;
        continue;
      }
      push(i, out);
      ++i;
      if (out.back().number) i += read_unit(i, out);
    }
    return out;
  }

 private:
  void push(std::size_t i, std::vector<Token>& out) const {
    const RawToken& t = raw_[i];
    if (t.kind == RawToken::Kind::mark) {
      out.push_back({t.begin, t.end, -1, t.mark, t.space_before, false, nullptr});
      return;
    }
    const WordInfo& word = word_at(i);
    const bool number = !word.folded.empty() && word.folded[0] >= '0' && word.folded[0] <= '9';
    out.push_back({t.begin, t.end, word.id, 0, t.space_before, number, &word});
  }

  std::string_view folded(std::size_t i) const {
    if (i >= raw_.size() || raw_[i].kind == RawToken::Kind::mark) return {};
    return word_at(i).folded;
  }
  // Several rules look at the same word.
  const WordInfo& word_at(std::size_t i) const {
    if (words_[i] == nullptr) words_[i] = &lexicon_.look_up(text_.substr(raw_[i].begin, raw_[i].end - raw_[i].begin));
    return *words_[i];
  }
  bool mark(std::size_t i, char c) const {
    return i < raw_.size() && raw_[i].kind == RawToken::Kind::mark && raw_[i].mark == c;
  }
  bool whole_number(std::size_t i) const {
    const std::string_view w = folded(i);
    return !w.empty() && w.size() <= 3 &&
           std::all_of(w.begin(), w.end(), [](char c) { return c >= '0' && c <= '9'; });
  }

  // How many raw tokens at `i` say "inch": a sign, the word, or "in." right after a number.
  std::size_t inch_at(std::size_t i, bool inside_size) const {
    if (mark(i, '"')) return 1;
    if (mark(i, '\'') && mark(i + 1, '\'')) return 2;
    if (mark(i, '-') && folded(i + 1) == "inch") return 2;
    if (mark(i, '-') && folded(i + 1) == "in" && mark(i + 2, '.')) return 3;
    const std::string_view w = folded(i);
    if (w == "inch") return mark(i + 1, '.') && inside_size ? 2 : 1;
    if (w == "in") {
      if (mark(i + 1, '.') && !raw_[i + 1].space_before) return 2;
      const std::string_view next = folded(i + 1);
      if (next == "x" || next == "by" || next == "square" || next == "squares") return 1;
    }
    return 0;
  }

  // NUMBER [inch] (x | by) NUMBER [inch], or NUMBER inch square: one word such as "9x9".
  std::size_t read_size(std::size_t i, std::vector<Token>& out) const {
    if (!whole_number(i)) return 0;
    std::size_t at = i + 1;
    const std::size_t unit = inch_at(at, true);
    at += unit;
    const std::string_view link = folded(at);
    if ((link == "x" || link == "by") && whole_number(at + 1)) {
      const std::string word = std::string(folded(i)) + "x" + std::string(folded(at + 1));
      at += 2;
      const std::size_t unit_after = inch_at(at, true);
      const std::size_t end = at + unit_after;
      out.push_back(merged(raw_[i], raw_[end - 1].end, lexicon_.look_up(word)));
      return end - i;
    }
    if (mark(at, '-')) ++at;
    const std::string_view shape = folded(at);
    if (unit > 0 && (shape == "square" || shape == "squares")) {
      const std::string side(folded(i));
      out.push_back(merged(raw_[i], raw_[at].end, lexicon_.look_up(side + "x" + side)));
      return at + 1 - i;
    }
    return 0;
  }

  // The unit after a number already read, written as one word: `"` and "in." give "inch", % "percent".
  std::size_t read_unit(std::size_t i, std::vector<Token>& out) const {
    if (i >= raw_.size()) return 0;
    if (const std::size_t inch = inch_at(i, false); inch > 0) {
      out.push_back(merged(raw_[i], raw_[i + inch - 1].end, lexicon_.look_up("inch")));
      out.back().number = false;
      return inch;
    }
    if (mark(i, '%')) {
      out.push_back(merged(raw_[i], raw_[i].end, lexicon_.look_up("percent")));
      out.back().number = false;
      return 1;
    }
    if (mark(i, '\'') && !raw_[i].space_before) {
      out.push_back(merged(raw_[i], raw_[i].end, lexicon_.look_up("foot")));
      out.back().number = false;
      return 1;
    }
    return 0;
  }

  std::string_view text_;
  Lexicon& lexicon_;
  std::vector<RawToken> raw_;
  mutable std::vector<const WordInfo*> words_;  // By raw token, once it was looked up.
};

}  // namespace

Lexicon::Lexicon(WordRules rules, GeneralWords general)
    : rules_(std::move(rules)), general_(std::move(general)) {}

void Lexicon::set_mode(Mode mode) {
  if (mode == mode_) return;
  mode_ = mode;
  seen_.clear();  // What was looked up in the other mode may answer differently now.
}

std::int32_t Lexicon::add(std::string_view folded) {
  const std::int32_t id = ids_.add(stem_of(folded), static_cast<std::int32_t>(ids_.size()));
  if (folded.size() >= kShortestCorrected && folded[0] >= 'a' && folded[0] <= 'z' && !has_digit(folded)) known_.add(folded, id);
  return id;
}

void Lexicon::complete() {
  ids_.flatten();
  known_.flatten();
}

std::int32_t Lexicon::find(std::string_view folded) const { return ids_.find(stem_of(folded)); }

std::string Lexicon::stem_of(std::string_view folded) const {
  for (const std::string& word : rules_.whole)
    if (folded == word || (folded.starts_with(word) && (folded.substr(word.size()) == "s" || folded.substr(word.size()) == "'s"))) return word;
  return stem(folded);
}

void Lexicon::write(ByteWriter& out) const {
  ids_.write(out);
  known_.write(out);
}

void Lexicon::read(ByteReader& in) {
  ids_ = TextTable::read(in);
  known_ = TextTable::read(in);
  set_mode(Mode::correct);
}

void WordRules::write(ByteWriter& out) const {
  out.text_map(same);
  out.texts(abbreviations);
  out.text_map(spoken);
  out.texts(negating_prefixes);
  out.texts(quiet);
  out.texts(whole);
}

WordRules WordRules::read(ByteReader& in) {
  WordRules out;
  out.same = in.text_map();
  out.abbreviations = in.texts();
  out.spoken = in.text_map();
  out.negating_prefixes = in.texts();
  out.quiet = in.texts();
  out.whole = in.texts();
  return out;
}

bool Lexicon::correct(WordInfo& info) const {
  const std::string& w = info.folded;
  if (w.size() < kShortestCorrected || w.size() > 30 || has_digit(w) || w[0] < 'a' || w[0] > 'z') return false;
  if (is_general(w)) return false;
  const int limit = w.size() >= 8 ? 2 : 1;
  int best = limit + 1;
  std::string_view nearest;
  const auto [first, last] = known_.beginning_with(w[0]);
  for (std::size_t i = first; i < last; ++i) {
    const std::string_view known = known_.text(i);
    if (known.size() <= kShortestCorrected && w.size() <= kShortestCorrected) continue;  // Near to too many others.
    const int distance = edit_distance(w, known, std::min(limit, best - 1));
    if (distance >= best) continue;
    const bool negated = std::any_of(rules_.negating_prefixes.begin(), rules_.negating_prefixes.end(), [&](const std::string& p) {
      return w == p + std::string(known) || known == p + w;
    });
    if (negated) continue;
    best = distance;
    nearest = known;
  }
  if (nearest.empty()) return false;
  info.folded = std::string(nearest);
  info.id = known_.find(nearest);
  info.corrected = true;
  return true;
}

const WordInfo& Lexicon::look_up(std::string_view raw) {
  if (const auto place = seen_.find(raw); place != seen_.end()) return place->second;
  if (seen_.size() > kSeenLimit && mode_ == Mode::correct) seen_.clear();
  WordInfo info;
  info.folded = fold(raw);
  info.abbreviation = std::find(rules_.abbreviations.begin(), rules_.abbreviations.end(), info.folded) !=
                      rules_.abbreviations.end();
  if (const auto same = rules_.same.find(info.folded); same != rules_.same.end()) info.folded = same->second;
  info.id = mode_ == Mode::learn ? add(info.folded) : find(info.folded);
  if (info.id < 0 && mode_ == Mode::correct) correct(info);
  info.sound = sound_key(info.folded);
  return seen_.emplace(raw, std::move(info)).first->second;
}

std::vector<Token> read_tokens(std::string_view text, Lexicon& lexicon) {
  return Reader(text, lexicon).read();
}

namespace {

template <typename Shape>
std::string joined_words(std::string_view text, Lexicon& lexicon, Shape shape) {
  std::string out;
  out.reserve(text.size());
  for (const Token& t : read_tokens(text, lexicon)) {
    if (t.word == nullptr) continue;
    if (!out.empty()) out += ' ';
    out += shape(t.word->folded);
  }
  return out;
}

}  // namespace

std::string normal_text(std::string_view text, Lexicon& lexicon) {
  return joined_words(text, lexicon, [](const std::string& w) -> const std::string& { return w; });
}

std::string sound_of(std::string_view text, Lexicon& lexicon) {
  std::string out;
  for (const Token& t : read_tokens(text, lexicon))
    if (t.word != nullptr) out += t.word->sound;
  return out;
}

std::string stemmed_text(std::string_view text, Lexicon& lexicon) {
  return joined_words(text, lexicon, [&](const std::string& w) { return lexicon.stem_of(w); });
}

}  // namespace kb
