#include "kb/mentions.h"

#include <algorithm>
#include <set>
#include <span>
#include <utility>

namespace kb {
namespace {

constexpr std::uint32_t kLongestHeard = 6;  // Words of a misheard name.
constexpr std::size_t kLeastHeard = 4;      // Consonants that are not the name's own words.
constexpr std::uint32_t kOlderReach = 2;    // "old insulated foil wrap"
constexpr std::uint32_t kLinkReach = 7;     // "insulation on all of them is fiberglass"

// How much of a row of words sounds like the name without being its words: "asbestos type" shares
// "asbestos" with "asbestos tape", and what is left is too little to go by.
std::size_t heard_otherwise(const Scene& s, std::uint32_t first, std::uint32_t last, std::uint32_t list) {
  const auto words = s.knowledge->sound_words.at(list);
  std::size_t sounds = 0;
  for (std::uint32_t i = first; i < last; ++i)
    if (s.tokens[i].word != nullptr && std::find(words.begin(), words.end(), s.tokens[i].id) == words.end()) sounds += s.tokens[i].word->sound.size();
  return sounds;
}

// One word of ordinary English with nothing but quiet words around it means itself: "the structure" is no
// storage heater, "the external" no texture.
bool one_ordinary_word(const Scene& s, std::uint32_t first, std::uint32_t last) {
  Lexicon& lexicon = *s.knowledge->lexicon;
  const auto& quiet = lexicon.rules().quiet;
  const WordInfo* only = nullptr;
  for (std::uint32_t i = first; i < last; ++i) {
    const WordInfo* word = s.tokens[i].word;
    if (std::find(quiet.begin(), quiet.end(), word->folded) != quiet.end()) continue;
    if (only != nullptr) return false;
    only = word;
  }
  return only == nullptr || lexicon.is_general(only->folded);
}

// Names by sound: a row of words, each of them ordinary, that together sound like a name. Words that are read
// as something else already, a place or a state of more than one word, are not: "viewed from the access door
// only" is no texture on a wall.
void add_by_sound(const Scene& s, std::vector<Match>& names) {
  std::vector<bool> taken(s.tokens.size(), false);
  for (const Match& m : names)
    for (std::uint32_t i = m.first; i < m.last; ++i) taken[i] = true;
  for (const Cue cue : {Cue::place, Cue::condition})
    for (const Match& m : s.of(cue))
      if (m.last - m.first > 1)
        for (std::uint32_t i = m.first; i < m.last; ++i) taken[i] = true;
  for (std::uint32_t i = 0; i < s.tokens.size(); ++i) {
    if (s.tokens[i].word == nullptr || taken[i]) continue;
    std::string key;
    std::uint32_t words = 0;
    for (std::uint32_t j = i; j < s.tokens.size() && words < kLongestHeard; ++j) {
      if (s.tokens[j].word == nullptr || s.tokens[j].number || taken[j]) break;
      key += s.tokens[j].word->sound;
      ++words;
      bool goes_on = false;
      const std::int32_t list = s.knowledge->sounds.find(key, goes_on);
      if (list < 0 && !goes_on) break;
      if (list < 0 || heard_otherwise(s, i, j + 1, static_cast<std::uint32_t>(list)) < kLeastHeard) continue;
      if (one_ordinary_word(s, i, j + 1)) continue;
      for (const Tag& tag : s.knowledge->by_sound.at(static_cast<std::uint32_t>(list))) names.push_back({i, j + 1, tag});
      break;
    }
  }
}

bool near(const Scene& s, std::uint32_t sentence, const Match& m) {
  const std::uint32_t other = s.sentence_of[m.first];
  return other + 1 >= sentence && other <= sentence + 1;
}

// Which material a shared name means: the words of the sentence decide, then those of its neighbors,
// then the default. What is no page of ours cannot be attached and stands in `or` only.
void settle_shared(const Scene& s, const Match& m, Mention& out) {
  const Knowledge& k = *s.knowledge;
  const SharedName& shared = k.shared[static_cast<std::size_t>(m.tag.item)];
  std::string chosen;
  int best = 0;
  for (const Match& d : s.of(Cue::decide)) {
    if (d.tag.item != m.tag.item || !near(s, out.sentence, d)) continue;
    const int strength = s.sentence_of[d.first] == out.sentence ? 2 : 1;
    if (strength <= best) continue;
    best = strength;
    chosen = shared.ids[static_cast<std::size_t>(d.tag.part)];
  }
  if (chosen.empty()) chosen = shared.fallback;
  if (k.material(chosen) == nullptr) chosen = shared.fallback;
  for (const std::string& id : shared.ids) {
    if (k.material(chosen) == nullptr && k.material(id) != nullptr) chosen = id;
  }
  for (const std::string& id : shared.ids)
    if (id != chosen) out.other_readings.push_back(id);
  const Material* material = k.material(chosen);
  out.material = material == nullptr ? -1 : static_cast<int>(material - k.materials.data());
}

// Of overlapping names the longest; but a material's own name beats a shared one that only touches it
// ("air cell insulation on the hot water pipes").
std::vector<Match> most_telling(const Scene& s, std::vector<Match> names) {
  const auto is_shared = [](const Match& m) { return m.tag.kind == static_cast<std::uint16_t>(Cue::shared); };
  std::vector<Match> own, shared;
  for (const Match& m : names) (is_shared(m) ? shared : own).push_back(m);
  std::erase_if(shared, [&](const Match& m) {
    return std::any_of(own.begin(), own.end(), [&](Match& o) {
      const bool apart = o.last <= m.first || m.last <= o.first;
      const bool inside = m.first <= o.first && o.last <= m.last && o.last - o.first < m.last - m.first;
      if (!apart) return !inside;
      // Right beside a name of its own it only goes on: "air cell, insulation on the pipes".
      const std::uint32_t between = o.last <= m.first ? m.first - o.last : o.first - m.last;
      const auto& ids = s.knowledge->shared[static_cast<std::size_t>(m.tag.item)].ids;
      const std::string& id = s.knowledge->materials[static_cast<std::size_t>(o.tag.item)].id;
      if (between != 0 || std::find(ids.begin(), ids.end(), id) == ids.end()) return false;
      o.first = std::min(o.first, m.first);
      o.last = std::max(o.last, m.last);
      return true;
    });
  });
  own.insert(own.end(), shared.begin(), shared.end());
  return longest(std::move(own));
}

std::vector<Mention> named(const Scene& s) {
  std::vector<Match> names = s.of(Cue::name);
  names.insert(names.end(), s.of(Cue::shared).begin(), s.of(Cue::shared).end());
  add_by_sound(s, names);
  std::vector<Mention> out;
  for (const Match& m : most_telling(s, std::move(names))) {
    Mention mention;
    mention.first = m.first;
    mention.last = m.last;
    mention.sentence = s.sentence_of[m.first];
    if (m.tag.kind == static_cast<std::uint16_t>(Cue::shared)) {
      settle_shared(s, m, mention);
    } else {
      mention.material = m.tag.item;
    }
    if (mention.material >= 0) out.push_back(std::move(mention));
  }
  return out;
}

// "not fiberglass", "no grout": the word against is itself denied.
bool denied_word(const Scene& s, const Match& m) {
  const std::uint32_t begin = s.sentences[s.sentence_of[m.first]].first;
  for (std::uint32_t i = m.first; i > begin && m.first - i < 2;) {
    --i;
    if (s.has(i, Cue::before)) return true;
  }
  return false;
}

// Is the modern word `m` said of the thing named at `x`, before it ("foam pipe insulation") or as its
// predicate ("pipe insulation is fiberglass")?
bool said_of(const Scene& s, const Match& m, const Mention& x) {
  // A longer word that holds the name: "fiber cement siding", "boiler jacket panel".
  if (m.first <= x.first && m.last > x.first && m.last - m.first > x.last - x.first) return true;
  if (m.first < x.first && m.last > x.first) return true;
  if (m.last <= x.first) {
    if (x.first - m.last > 1) return false;
    return m.last == x.first || (s.tokens[m.last].word != nullptr && !s.has(m.last, Cue::carrier) && !s.has(m.last, Cue::join));
  }
  if (m.first < x.last || m.first - x.last > kLinkReach) return false;
  bool linked = false;
  for (std::uint32_t i = x.last; i < m.first; ++i) {
    if (s.is_mark(i, ':') || s.is_mark(i, '-') || s.is_mark(i, '(')) {
      linked = true;
      continue;
    }
    // "replaced with a metal vent": another thing, not what this one is.
    if (s.tokens[i].word == nullptr || s.has(i, Cue::removed)) return false;
    if (s.has(i, Cue::link)) {
      linked = true;
    } else if (s.has(i, Cue::carrier) || s.has(i, Cue::join)) {
      return false;
    }
  }
  return linked;
}

void find_lookalikes(const Scene& s, std::vector<Mention>& mentions) {
  for (const Match& against : s.of(Cue::seen_against)) {
    const SeenRule& rule = s.knowledge->rules[static_cast<std::size_t>(against.tag.item)];
    for (Mention& x : mentions) {
      if (x.material != rule.material || x.sentence != s.sentence_of[against.first]) continue;
      if (against.first >= x.first && against.last <= x.last) continue;
      if (!said_of(s, against, x) || denied_word(s, against)) continue;
      x.standing = Standing::lookalike;
      x.decided = against;
      x.has_cue = true;
    }
  }
}

// What one rule met in one sentence and its neighbors.
struct Sighting {
  std::vector<Match> hits;            // One for each group, those of the sentence itself where possible.
  std::set<std::uint32_t> tokens;     // Of the hits in the sentence itself.
  Match against;
  bool cancelled = false;
};

bool tells_of_older(const Scene& s, std::uint32_t sentence) {
  const Sentence& in = s.sentences[sentence];
  for (std::uint32_t i = in.first; i < in.last; ++i)
    if ((s.has(i, Cue::older_part) || s.has(i, Cue::original)) && !s.has(i, Cue::nothing_older)) return true;
  return false;
}

// Is it the modern thing itself that is called old, or left over ("old plastic wrap", "rubber mat residue")?
bool older_itself(const Scene& s, const Match& m) {
  const Sentence& in = s.sentences[s.sentence_of[m.first]];
  const auto older = [&](std::uint32_t i) { return s.has(i, Cue::older_part) || s.has(i, Cue::original); };
  for (std::uint32_t i = m.first, steps = 0; i > in.first && steps < kOlderReach && s.tokens[i - 1].word != nullptr; --i, ++steps)
    if (older(i - 1)) return true;
  for (std::uint32_t i = m.last; i < in.last && i < m.last + kOlderReach && s.tokens[i].word != nullptr && !s.has(i, Cue::carrier); ++i)
    if (older(i)) return true;
  return false;
}

// The parts of descriptions that a scene holds, those of one rule together: each rule is asked for its own.
class Looks {
 public:
  explicit Looks(const Scene& s) : first_(s.knowledge->rules.size() + 1) {
    const std::vector<Match>& seen = s.of(Cue::seen);
    for (const Match& m : seen) ++first_[static_cast<std::size_t>(m.tag.item) + 1];
    for (std::size_t r = 1; r < first_.size(); ++r) first_[r] += first_[r - 1];
    std::vector<std::uint32_t> next(first_.begin(), first_.end());
    sorted_.resize(seen.size());
    for (const Match& m : seen) sorted_[next[static_cast<std::size_t>(m.tag.item)]++] = &m;
  }

  std::span<const Match* const> of(int rule) const {
    const auto r = static_cast<std::size_t>(rule);
    return {sorted_.data() + first_[r], sorted_.data() + first_[r + 1]};
  }
  const std::vector<const Match*>& all() const { return sorted_; }

 private:
  std::vector<std::uint32_t> first_;  // Of each rule in `sorted_`, and the end.
  std::vector<const Match*> sorted_;
};

// Evaluates rule `r` around sentence `sentence`. `taken`: tokens that belong to a named material.
bool evaluate(const Scene& s, const Looks& looks, int r, std::uint32_t sentence, const std::vector<int>& taken, Sighting& out) {
  const SeenRule& rule = s.knowledge->rules[static_cast<std::size_t>(r)];
  std::vector<const Match*> chosen(static_cast<std::size_t>(rule.groups), nullptr);
  int here = 0;
  for (const Match* found : looks.of(r)) {
    const Match& m = *found;
    if (!near(s, sentence, m)) continue;
    bool foreign = false;
    for (std::uint32_t i = m.first; i < m.last; ++i) foreign = foreign || (taken[i] >= 0 && taken[i] != rule.material);
    if (foreign) continue;
    auto& slot = chosen[static_cast<std::size_t>(m.tag.part)];
    const bool own = s.sentence_of[m.first] == sentence;
    if (slot == nullptr || (own && s.sentence_of[slot->first] != sentence) ||
        (own && m.last - m.first > slot->last - slot->first))
      slot = &m;
  }
  for (const Match* m : chosen) {
    if (m == nullptr) return false;
    if (s.sentence_of[m->first] == sentence) {
      ++here;
      for (std::uint32_t i = m->first; i < m->last; ++i) out.tokens.insert(i);
    }
    out.hits.push_back(*m);
  }
  // Most of the description stands in the sentence itself, its first group (the look) above all.
  if (s.sentence_of[chosen[0]->first] != sentence || here * 2 < rule.groups) return false;
  if (rule.needs_for) {
    const auto& words = s.of(Cue::seen_for);
    const auto met = std::find_if(words.begin(), words.end(), [&](const Match& m) { return m.tag.item == r && near(s, sentence, m); });
    if (met == words.end()) return false;
    out.hits.push_back(*met);
  }
  // Where an older part is told of, a newer kind beside it takes nothing away from it; "old ceramic tile"
  // is ceramic all the same.
  const bool older = tells_of_older(s, sentence);
  for (const Match& m : s.of(Cue::seen_against)) {
    if (m.tag.item != r || s.sentence_of[m.first] != sentence || denied_word(s, m)) continue;
    if (older && !older_itself(s, m)) continue;
    out.cancelled = true;
    out.against = m;
  }
  return true;
}

// Rules that have a word in the scene at all, with the sentences to look at.
std::vector<std::pair<int, std::uint32_t>> candidates(const Scene& s, const Looks& looks) {
  std::vector<std::pair<int, std::uint32_t>> out;
  for (const Match* m : looks.all())
    if (m->tag.part == 0) out.emplace_back(m->tag.item, s.sentence_of[m->first]);
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

Mention described(int material, std::uint32_t sentence, const Sighting& seen) {
  Mention x;
  x.material = material;
  x.sentence = sentence;
  x.named = false;
  x.first = *seen.tokens.begin();
  x.last = *seen.tokens.rbegin() + 1;
  x.looks = seen.hits;
  if (seen.cancelled) {
    x.standing = Standing::lookalike;
    x.decided = seen.against;
    x.has_cue = true;
  }
  return x;
}

bool share_a_token(const std::set<std::uint32_t>& a, const std::set<std::uint32_t>& b) {
  return std::any_of(a.begin(), a.end(), [&](std::uint32_t t) { return b.contains(t); });
}

std::vector<Mention> seen(const Scene& s, const std::vector<Mention>& names) {
  const Knowledge& k = *s.knowledge;
  std::vector<int> taken(s.tokens.size(), -1);
  for (const Mention& n : names)
    for (std::uint32_t i = n.first; i < n.last; ++i) taken[i] = n.material;
  struct Found {
    int material;
    std::uint32_t sentence;
    Sighting sighting;
  };
  std::vector<Found> all;
  const Looks looks(s);
  for (const auto& [r, sentence] : candidates(s, looks)) {
    const int material = k.rules[static_cast<std::size_t>(r)].material;
    // A name nearby already says it.
    const bool told = std::any_of(names.begin(), names.end(), [&, at = sentence](const Mention& n) {
      return n.material == material && n.sentence + 1 >= at && n.sentence <= at + 1;
    });
    Sighting sighting;
    if (!told && evaluate(s, looks, r, sentence, taken, sighting)) all.push_back({material, sentence, std::move(sighting)});
  }
  // Descriptions that hold come first, then those with more words of the sentence behind them.
  std::stable_sort(all.begin(), all.end(), [](const Found& a, const Found& b) {
    if (a.sighting.cancelled != b.sighting.cancelled) return !a.sighting.cancelled;
    return a.sighting.tokens.size() > b.sighting.tokens.size();
  });
  std::vector<Mention> out;
  std::vector<std::set<std::uint32_t>> used;
  for (const Found& f : all) {
    bool dropped = false;
    for (std::size_t i = 0; i < out.size() && !dropped; ++i) {
      if (out[i].sentence != f.sentence) {
        dropped = out[i].material == f.material && out[i].sentence + 1 >= f.sentence && out[i].sentence <= f.sentence + 1;
        continue;
      }
      if (out[i].material == f.material) {
        dropped = true;
      } else if (share_a_token(used[i], f.sighting.tokens)) {
        dropped = true;  // One thing, one block: the weaker reading is kept as such.
        if (!f.sighting.cancelled) out[i].other_readings.push_back(k.materials[static_cast<std::size_t>(f.material)].id);
      }
    }
    if (dropped) continue;
    out.push_back(described(f.material, f.sentence, f.sighting));
    used.push_back(f.sighting.tokens);
  }
  return out;
}

}  // namespace

std::vector<Mention> find_mentions(const Scene& s) {
  std::vector<Mention> mentions = named(s);
  find_lookalikes(s, mentions);
  std::vector<Mention> described = seen(s, mentions);
  mentions.insert(mentions.end(), std::make_move_iterator(described.begin()), std::make_move_iterator(described.end()));
  std::sort(mentions.begin(), mentions.end(), [](const Mention& a, const Mention& b) {
    return a.first != b.first ? a.first < b.first : a.last < b.last;
  });
  return mentions;
}

}  // namespace kb
