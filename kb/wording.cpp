#include "kb/wording.h"

#include <algorithm>
#include <cctype>

namespace kb {
namespace {

constexpr int kPlaceWords = 8;   // Of the note's own words in the first sentence, and of its extents as many.
constexpr int kLabelWords = 3;   // A longer label is rather a subject than a place.
constexpr int kRankElsewhere = 3;
constexpr std::size_t kOthersNamed = 3;
constexpr int kOthersWords = 40;  // More than so many titles have.

std::string sentence(const Knowledge& k, std::string_view key) {
  const auto place = k.wording.sentences.find(key);
  return place == k.wording.sentences.end() ? std::string() : place->second;
}

std::string in_plain_words(const Wording& w, std::string_view key) {
  const auto place = w.plain.find(key);
  return place == w.plain.end() ? std::string() : place->second;
}

// The note's own words on one line, without signs at the end that would break the sentence.
std::string own_words(std::string_view note, Span span) {
  std::string out;
  for (const char c : to_valid_utf8(note.substr(span.begin, span.end - span.begin))) {
    const auto byte = static_cast<unsigned char>(c);
    const bool blank = byte <= ' ' || byte == 0x7F;
    if (blank && (out.empty() || out.back() == ' ')) continue;
    out += blank ? ' ' : c;
  }
  while (!out.empty() && std::string_view(" .,;:-#*").find(out.back()) != std::string_view::npos) out.pop_back();
  return out;
}

// Capitals of a heading are lowered, and the one that began a line: "BASEMENT" reads as shouting inside
// a sentence. A direction such as "NE corner" stays.
std::string lowered(std::string text) {
  if (std::any_of(text.begin(), text.end(), [](unsigned char c) { return std::islower(c) != 0; })) {
    if (text.size() > 1 && std::islower(static_cast<unsigned char>(text[1])) != 0) text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
    return text;
  }
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

std::string joined(const std::vector<std::string>& parts, int word_limit) {
  std::string out;
  for (const std::string& part : parts) {
    const std::string next = out.empty() ? part : out + ", " + part;
    if (count_words(next) > word_limit) break;
    out = next;
  }
  return out;
}

// Does a sentence end inside `text` ("tile. The")? Such words do not go into a sentence of ours, so that
// a sentence which somebody adds to a block without a stamp is told from ours.
bool ends_inside(std::string_view text) {
  for (std::size_t i = 0; i + 2 < text.size(); ++i)
    if (std::string_view(".!?").find(text[i]) != std::string_view::npos && text[i + 1] == ' ' && std::isupper(static_cast<unsigned char>(text[i + 2])) != 0)
      return true;
  return false;
}

void add_once(std::vector<std::string>& list, std::string value) {
  if (value.empty() || ends_inside(value)) return;
  const auto same = [&](const std::string& have) { return fold(have).find(fold(value)) != std::string::npos; };
  if (std::none_of(list.begin(), list.end(), same)) list.push_back(std::move(value));
}

}  // namespace

Where where_noted(std::string_view note, const Knowledge& k, const Observation& layout, const Finding& f) {
  std::vector<std::string> places, extents;
  add_once(places, lowered(own_words(note, layout.heading)));
  // A label is a place unless it is the material itself ("Siding: ...").
  const bool caption = k.wording.caption.starts_with(note.substr(layout.label.begin, layout.label.end - layout.label.begin));
  const bool long_label = caption || count_words(note.substr(layout.label.begin, layout.label.end - layout.label.begin)) > kLabelWords;
  const bool label_is_thing = long_label || std::any_of(f.evidence.begin(), f.evidence.end(), [&](const Evidence& e) {
    return (e.says == "name" || e.says == "look") && e.span.begin < layout.label.end && layout.label.begin < e.span.end;
  });
  if (!label_is_thing) add_once(places, lowered(own_words(note, layout.label)));
  for (const Span& p : f.places) add_once(places, lowered(own_words(note, p)));
  for (const Span& e : f.extents) add_once(extents, lowered(own_words(note, e)));
  return {joined(places, kPlaceWords), joined(extents, kPlaceWords)};
}

namespace {

std::string where(std::string_view note, const Knowledge& k, const Observation& layout, const Finding& f) {
  const auto [place, extent] = where_noted(note, k, layout, f);
  if (!place.empty() && !extent.empty()) return filled(filled(sentence(k, "place-and-extent"), "{place}", place), "{extent}", extent);
  if (!place.empty()) return filled(sentence(k, "place"), "{place}", place);
  if (!extent.empty()) return filled(sentence(k, "extent"), "{extent}", extent);
  return {};
}

std::string title_in_a_row(const Knowledge& k, const std::string& id) {
  const auto place = k.titles.find(id);
  std::string title = place == k.titles.end() ? id : place->second;
  // Only a capital that begins an ordinary word is lowered ("Asbestos-cement", not "AC").
  if (title.size() > 1 && std::islower(static_cast<unsigned char>(title[1])) != 0) title[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(title[0])));
  return title;
}

std::string titles_of(const Knowledge& k, const std::vector<std::string>& ids) {
  std::string out;
  const std::size_t n = std::min(ids.size(), kOthersNamed);
  for (std::size_t i = 0; i < n; ++i) {
    if (i > 0) out += i + 1 == n ? " or " : ", ";
    out += title_in_a_row(k, ids[i]);
  }
  return out;
}

// The words for one condition: the material's own variant, else the caution's report wording.
Attached state_text(const Knowledge& k, const Material& m, const std::string& condition, const std::string& caution) {
  if (const auto own = m.variants.find(condition); own != m.variants.end()) return {m.id, own->second};
  const auto general = k.cautions.find(caution);
  return general == k.cautions.end() ? Attached{} : Attached{caution, general->second};
}

std::vector<Attached> states(const Knowledge& k, const Material& m, const Finding& f) {
  std::vector<Attached> out;
  for (const std::string& id : k.wording.order) {
    if ((f.conditions & k.bit(id)) == 0) continue;
    const auto& condition = k.conditions[static_cast<std::size_t>(k.condition_index.find(id)->second)];
    if (Attached a = state_text(k, m, id, condition.caution); !a.text.empty()) out.push_back(std::move(a));
  }
  return out;
}

Attached tested(const Knowledge& k, const Material& m, const Finding& f) {
  const auto caution = k.wording.tested.find(f.tested);
  if (caution == k.wording.tested.end()) return {};
  return state_text(k, m, caution->second, caution->second);
}

Attached where_else(const Knowledge& k, const Material& m) {
  if (const auto own = m.variants.find("where-else"); own != m.variants.end()) return {m.id, own->second};
  if (m.look_also.empty()) return {};
  return {m.id, filled(sentence(k, "where-else"), "{others}", titles_of(k, m.look_also))};
}

Attached dated(const Knowledge& k, const Material& m, const Finding& f) {
  if (f.period == "after") return {m.id, filled(sentence(k, "after"), "{year}", std::to_string(m.to))};
  if (f.period == "before") return {m.id, filled(sentence(k, "before"), "{year}", std::to_string(m.from))};
  return {};
}

// Parts with the rank in which they are kept when the words run out (small is kept first).
struct Part {
  Attached text;
  int rank;
};

int words_of(const std::vector<Part>& parts) {
  int n = 0;
  for (const Part& p : parts) n += count_words(p.text.text);
  return n;
}

// Keeps what fits into `most` words: by rank, then in order. Rank 0 stays whatever its length.
void keep_within(std::vector<Part>& parts, int most) {
  std::vector<std::size_t> order(parts.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return parts[a].rank < parts[b].rank; });
  std::vector<bool> kept(parts.size(), false);
  int words = 0;
  for (const std::size_t i : order) {
    const int n = count_words(parts[i].text.text);
    if (parts[i].rank > 0 && words + n > most) continue;
    kept[i] = true;
    words += n;
  }
  std::vector<Part> out;
  for (std::size_t i = 0; i < parts.size(); ++i)
    if (kept[i]) out.push_back(std::move(parts[i]));
  parts = std::move(out);
}

bool says(const Knowledge& k, const std::string& advice, const std::string& text) {
  const auto words = k.wording.said_by.find(advice);
  if (words == k.wording.said_by.end()) return false;
  const std::string said = fold(text);
  return std::any_of(words->second.begin(), words->second.end(), [&](const std::string& w) { return said.find(w) != std::string::npos; });
}

// A second state that tells people to keep out again only repeats the first.
void drop_repeats(const Knowledge& k, std::vector<Attached>& states) {
  const std::string& strongest = k.advice_order.back();
  bool told = false;
  std::erase_if(states, [&](const Attached& a) {
    const bool tells = says(k, strongest, a.text);
    const bool repeat = tells && told;
    told = told || tells;
    return repeat;
  });
}

// What the advice adds, when no part says it: the strongest always, a lesser one where words are left.
// It stands before "where else to look".
void add_advice(const Knowledge& k, const Finding& f, std::vector<Part>& parts, int most) {
  const auto text = k.wording.advice.find(f.advice);
  if (text == k.wording.advice.end()) return;
  if (std::any_of(parts.begin(), parts.end(), [&](const Part& p) { return says(k, f.advice, p.text.text); })) return;
  if (f.advice != k.advice_order.back() && words_of(parts) + count_words(text->second) > most) return;
  const bool ends_elsewhere = !parts.empty() && parts.back().rank == kRankElsewhere;
  parts.insert(ends_elsewhere ? parts.end() - 1 : parts.end(), {{f.id, text->second}, 0});
}

}  // namespace

void compose(std::string_view note, const Knowledge& k, const Observation& layout, bool brief, Finding& f) {
  std::vector<Part> parts;
  const auto add = [&](Attached a, int rank) {
    if (!a.text.empty()) parts.push_back({std::move(a), rank});
  };
  const Material* m = k.material(f.id);
  add({f.id, where(note, k, layout, f)}, 1);
  if (m == nullptr) {
    const auto text = k.cautions.find(f.id);
    if (text != k.cautions.end()) add({f.id, text->second}, 0);
  } else {
    add({f.id, m->base}, 0);
    add(dated(k, *m, f), 2);
    std::vector<Attached> said = states(k, *m, f);
    drop_repeats(k, said);
    for (std::size_t i = 0; i < said.size(); ++i) add(std::move(said[i]), i == 0 ? 0 : 5 + static_cast<int>(i));
    add(tested(k, *m, f), 2);
    if (f.hearsay) add({f.id, sentence(k, "hearsay")}, 2);
    if (!f.other_readings.empty()) add({f.id, filled(sentence(k, "or"), "{others}", titles_of(k, f.other_readings))}, 5);
    // A brief block that would say too little says where else to look as well.
    if (!brief || words_of(parts) < k.wording.least) add(where_else(k, *m), kRankElsewhere);
  }
  const int most = brief ? k.wording.brief : k.wording.most;
  // Room is kept for the sentence of the strongest advice, should no part say it.
  const auto strongest = k.wording.advice.find(k.advice_order.back());
  const int kept_back = f.advice == k.advice_order.back() && strongest != k.wording.advice.end() ? count_words(strongest->second) : 0;
  keep_within(parts, most - kept_back);
  add_advice(k, f, parts, most);
  f.attached.clear();
  for (Part& p : parts) {
    if (!f.attached.empty() && f.attached.back().id == p.text.id) {
      f.attached.back().text += ' ' + p.text.text;
    } else {
      f.attached.push_back(std::move(p.text));
    }
  }
}

void compose_plain(std::string_view note, const Knowledge& k, const Observation& layout, Finding& f) {
  const Wording& w = k.wording;
  const auto said = k.plain.find(f.id);
  std::string text;
  const auto add = [&](const std::string& more) {
    if (more.empty()) return;
    if (!text.empty()) text += ' ';
    text += more;
  };
  const Where seen = where_noted(note, k, layout, f);
  if (!seen.place.empty()) add(filled(in_plain_words(w, "place"), "{place}", seen.place));
  if (said != k.plain.end()) add(said->second);
  if (f.hearsay) add(in_plain_words(w, "hearsay"));
  // Set whether or not the page says it of a worse state: here it is that state.
  add(in_plain_words(w, f.advice));
  f.attached = {{f.id, std::move(text)}};
}

std::string paragraph(const Finding& f) {
  std::string out;
  for (const Attached& a : f.attached) {
    if (!out.empty()) out += ' ';
    out += a.text;
  }
  return out;
}

Attached standard_paragraph(const Knowledge& k, bool plain) {
  if (plain) return {k.wording.standard_id, in_plain_words(k.wording, "standard")};
  const auto text = k.cautions.find(k.wording.standard_id);
  return text == k.cautions.end() ? Attached{} : Attached{k.wording.standard_id, text->second};
}

namespace {

// Reads `text` as a row of known sentences; a slot of a pattern takes any words up to what follows it.
class Recognizer {
 public:
  explicit Recognizer(std::vector<std::string> patterns) : patterns_(std::move(patterns)) {}

  // Each place of the text is tried once, however many rows of sentences lead to it.
  bool all(std::string_view text) const {
    if (text.size() > kLongestText) return false;
    std::vector<bool> reached(text.size() + 1);
    reached[0] = true;
    for (std::size_t at = 0; at < text.size(); ++at) {
      if (!reached[at]) continue;
      for (const std::string& p : patterns_)
        for (const std::size_t length : ends(text.substr(at), p)) {
          const std::size_t end = at + length;
          reached[end < text.size() && text[end] == ' ' ? end + 1 : end] = true;
        }
    }
    return reached[text.size()];
  }

 private:
  static constexpr std::size_t kLongestText = 4096;

  // How far the words of a slot at `at` can go: `most` words, and no sentence ends among them.
  static std::size_t slot_reach(std::string_view text, std::size_t at, int most) {
    int words = 0;
    for (std::size_t i = at; i < text.size(); ++i) {
      if (text[i] != ' ' && (i == at || text[i - 1] == ' ') && ++words > most) return i;
      if (ends_inside(text.substr(i, 3))) return i + 2;
    }
    return text.size();
  }

  // Where a match of pattern `p` at the begin of `text` can end.
  static std::vector<std::size_t> ends(std::string_view text, std::string_view p) {
    std::vector<std::size_t> at{0};
    while (!p.empty() && !at.empty()) {
      const std::size_t open = p.find('{');
      const std::string_view fixed = p.substr(0, open);
      std::vector<std::size_t> next;
      for (const std::size_t a : at)
        if (text.substr(a).starts_with(fixed)) next.push_back(a + fixed.size());
      at = std::move(next);
      if (open == std::string_view::npos) break;
      const std::size_t close = p.find('}', open);
      if (close == std::string_view::npos) return {};
      const std::string_view slot = p.substr(open + 1, close - open - 1);
      p = p.substr(close + 1);
      if (at.empty()) break;
      // The slot's words end at each place where the pattern's next fixed words stand.
      const std::string_view after = p.substr(0, p.find('{'));
      const int most = slot == "place" || slot == "extent" ? kPlaceWords : kOthersWords;
      std::vector<std::size_t> open_ends;
      for (const std::size_t a : at) {
        const std::size_t reach = slot_reach(text, a, most);
        for (std::size_t found = text.find(after, a + 1); found <= reach; found = text.find(after, found + 1)) open_ends.push_back(found);
      }
      at = std::move(open_ends);
    }
    return at;
  }

  std::vector<std::string> patterns_;
};

}  // namespace

bool may_have_written(const Knowledge& k, const std::string& id, std::string_view text) {
  std::vector<std::string> patterns;
  const Material* m = k.material(id);
  if (m != nullptr) {
    patterns.push_back(m->base);
    for (const auto& [condition, words] : m->variants) patterns.push_back(words);
    for (const Condition& c : k.conditions)
      if (const auto caution = k.cautions.find(c.caution); caution != k.cautions.end()) patterns.push_back(caution->second);
    for (const auto& [value, article] : k.wording.tested)
      if (const auto caution = k.cautions.find(article); caution != k.cautions.end()) patterns.push_back(caution->second);
  } else if (id == k.wording.standard_id || id == k.wording.unknown_id) {
    if (const auto caution = k.cautions.find(id); caution != k.cautions.end()) patterns.push_back(caution->second);
  } else {
    return false;
  }
  if (const auto plain = k.plain.find(id); plain != k.plain.end()) patterns.push_back(plain->second);
  for (const auto& [key, words] : k.wording.plain) patterns.push_back(words);
  for (const auto& [key, words] : k.wording.sentences) patterns.push_back(words);
  for (const auto& [key, words] : k.wording.advice) patterns.push_back(words);
  return !text.empty() && Recognizer(std::move(patterns)).all(text);
}

}  // namespace kb
