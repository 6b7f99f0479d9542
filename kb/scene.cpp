#include "kb/scene.h"

#include <algorithm>

namespace kb {
namespace {

constexpr std::size_t kLongestSentence = 400;  // Tokens; keeps the reading linear in any text.
constexpr int kPlaceWords = 3;  // Unknown words of a place: "lagging in the north crawl space was removed"
constexpr std::size_t kShortLine = 50;  // A shorter line's end ends a sentence; a longer one is wrapped.

bool upper_case(std::string_view note, const Token& t) { return note[t.begin] >= 'A' && note[t.begin] <= 'Z'; }

void append_tokens(Scene& scene, Span span, Lexicon& lexicon) {
  for (Token t : read_tokens(scene.note.substr(span.begin, span.end - span.begin), lexicon)) {
    t.begin += static_cast<std::uint32_t>(span.begin);
    t.end += static_cast<std::uint32_t>(span.begin);
    scene.tokens.push_back(t);
  }
}

void speak_signs(Scene& scene, const WordRules& rules) {
  for (Token& t : scene.tokens) {
    if (t.word == nullptr) continue;
    const auto sign = rules.spoken.find(t.word->folded);
    if (sign == rules.spoken.end()) continue;
    t.mark = sign->second.front();
    t.word = nullptr;
    t.id = -1;
  }
}

// Which line ends of a stretch were set on purpose: the next line's first word would have fitted on the
// line, measured by the longest. Where most were, all were: remarks line by line.
std::vector<std::size_t> deliberate_line_ends(std::string_view note, Span span) {
  struct Break {
    std::size_t at, line, word;
  };
  std::vector<Break> breaks;
  std::size_t width = 0;
  for (std::size_t begin = span.begin; begin < span.end;) {
    const std::size_t end = std::min(note.find('\n', begin), span.end);
    const std::size_t text = note.find_first_not_of(" \t\r", begin);
    const std::size_t line = text >= end ? 0 : end - text;
    width = std::max(width, line);
    if (end >= span.end) break;
    const std::size_t next = std::min(note.find_first_not_of(" \t\r", end + 1), span.end);
    const std::size_t word_end = std::min(note.find_first_of(" \t\r\n", next), span.end);
    breaks.push_back({end, line, word_end - next});
    begin = end + 1;
  }
  std::vector<std::size_t> out;
  for (const Break& b : breaks)
    if (b.line + 1 + b.word <= width) out.push_back(b.at);
  if (out.size() * 2 <= breaks.size()) return out;
  out.clear();
  for (const Break& b : breaks) out.push_back(b.at);
  return out;
}

// Does the sign at `i` end a sentence?
bool ends_sentence(const Scene& s, std::size_t i, std::size_t line_begin, const std::vector<std::size_t>& line_ends) {
  const Token& t = s.tokens[i];
  if (t.word != nullptr) return false;
  if (t.mark == '!' || t.mark == '?') return true;
  const bool last = i + 1 >= s.tokens.size();
  if (t.mark == '\n') return t.begin - line_begin < kShortLine || std::binary_search(line_ends.begin(), line_ends.end(), t.begin);
  if (t.mark != '.') return false;
  if (last) return true;
  const Token& next = s.tokens[i + 1];
  if (!next.space_before && next.mark != '\n') return false;
  if (i > 0 && s.tokens[i - 1].word != nullptr && s.tokens[i - 1].word->abbreviation) {
    const bool letter = s.tokens[i - 1].end - s.tokens[i - 1].begin == 1;
    return !letter && next.word != nullptr && upper_case(s.note, next);
  }
  return true;
}

void split_sentences(Scene& s, std::size_t heading_tokens) {
  s.sentence_of.resize(s.tokens.size());
  std::uint32_t first = 0;
  std::size_t line_begin = s.tokens.empty() ? 0 : s.tokens.front().begin;
  const std::vector<std::size_t> line_ends = deliberate_line_ends(s.note, s.layout.span);
  const auto close = [&](std::size_t last, bool heading) {
    if (last <= first) return;
    for (std::size_t j = first; j < last; ++j) s.sentence_of[j] = static_cast<std::uint32_t>(s.sentences.size());
    s.sentences.push_back({first, static_cast<std::uint32_t>(last), heading});
    first = static_cast<std::uint32_t>(last);
  };
  if (heading_tokens > 0) {
    close(heading_tokens, true);
    if (heading_tokens < s.tokens.size()) line_begin = s.tokens[heading_tokens].begin;
  }
  for (std::size_t i = heading_tokens; i < s.tokens.size(); ++i) {
    if (ends_sentence(s, i, line_begin, line_ends) || i - first >= kLongestSentence) close(i + 1, false);
    if (s.tokens[i].mark == '\n' && s.tokens[i].word == nullptr) line_begin = s.tokens[i].end;
  }
  close(s.tokens.size(), false);
}

}  // namespace

bool Scene::any(std::uint32_t first, std::uint32_t last, Cue cue) const {
  for (std::uint32_t i = first; i < last; ++i)
    if (has(i, cue)) return true;
  return false;
}

bool Scene::any_in_sentence(std::uint32_t sentence, Cue cue) const {
  return any(sentences[sentence].first, sentences[sentence].last, cue);
}

Span Scene::span(std::uint32_t first, std::uint32_t last) const {
  if (first >= last) return {};
  return {tokens[first].begin, tokens[last - 1].end};
}

bool Scene::said_of_subject(std::uint32_t from, std::uint32_t to) const {
  int unknown = 0;
  bool in_place = false;
  for (std::uint32_t i = from; i < to; ++i) {
    if (tokens[i].word == nullptr) {
      if (breaks(i)) return false;
      if (tokens[i].mark == ',') in_place = false;
      continue;
    }
    if (has(i, Cue::carrier)) {
      in_place = true;
      continue;
    }
    const bool known = tokens[i].number || has(i, Cue::link) || has(i, Cue::filler) || has(i, Cue::all) || has(i, Cue::place) ||
                       has(i, Cue::installed) || has(i, Cue::removed) || has(i, Cue::modern);
    if (!known && (!in_place || ++unknown > kPlaceWords)) return false;
  }
  return true;
}

bool Scene::breaks(std::uint32_t i) const {
  if (tokens[i].word != nullptr) return false;
  if (tokens[i].mark == ';' || tokens[i].mark == '_') return true;
  return tokens[i].mark == '-' && tokens[i].space_before && i + 1 < tokens.size() && tokens[i + 1].space_before;
}

Scene make_scene(std::string_view note, const Observation& layout, const Knowledge& knowledge, bool spoken_signs) {
  Scene s;
  s.knowledge = &knowledge;
  s.note = note;
  s.layout = layout;
  if (layout.heading.end > layout.heading.begin) append_tokens(s, layout.heading, *knowledge.lexicon);
  const std::size_t heading_tokens = s.tokens.size();
  append_tokens(s, layout.span, *knowledge.lexicon);
  if (spoken_signs) speak_signs(s, knowledge.lexicon->rules());
  split_sentences(s, heading_tokens);
  s.flags.assign(s.tokens.size(), 0);
  for (const Match& m : knowledge.tree.scan(s.tokens)) {
    if (s.sentence_of[m.first] != s.sentence_of[m.last - 1]) continue;
    s.found[m.tag.kind].push_back(m);
    for (std::uint32_t i = m.first; i < m.last; ++i) s.flags[i] |= std::uint64_t{1} << m.tag.kind;
  }
  return s;
}

std::vector<Match> longest(std::vector<Match> matches) {
  std::stable_sort(matches.begin(), matches.end(), [](const Match& a, const Match& b) {
    const auto la = a.last - a.first, lb = b.last - b.first;
    return la != lb ? la > lb : a.first < b.first;
  });
  std::uint32_t end = 0;
  for (const Match& m : matches) end = std::max(end, m.last);
  std::vector<bool> taken(end, false);
  std::vector<Match> kept;
  for (const Match& m : matches) {
    const auto first = taken.begin() + m.first, last = taken.begin() + m.last;
    if (std::find(first, last, true) != last) continue;
    std::fill(first, last, true);
    kept.push_back(m);
  }
  std::sort(kept.begin(), kept.end(), [](const Match& a, const Match& b) { return a.first < b.first; });
  return kept;
}

}  // namespace kb
