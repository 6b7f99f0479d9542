#include "kb/denial.h"

#include <algorithm>

namespace kb {
namespace {

constexpr int kStateReach = 3;      // Words between "no" and a denied state.
constexpr int kThingReach = 2;      // Unknown words between "no" and a denied thing.
constexpr int kJoinReach = 4;       // Words between two things denied together.
constexpr std::uint32_t kExceptionReach = 5;  // Words between "except" and a place.
constexpr int kAfterReach = 6;      // "lagging in the north crawl space: none seen"

// One thing in a sentence that a denial can meet.
struct Item {
  std::uint32_t first = 0, last = 0;
  int mention = -1;
  int state = -1;
};

// What lies between two places of a sentence.
struct Gap {
  int words = 0;      // Words that are no fillers.
  bool carrier = false, link = false, join = false, comma = false, colon = false, broken = false;
};

class Reader {
 public:
  Reader(const Scene& scene, std::vector<Mention>& mentions) : s_(scene), mentions_(mentions) {}

  Denial read() {
    list_states();
    list_items();
    std::vector<Match> cues;
    for (const Cue c : {Cue::not_denial, Cue::not_seen, Cue::of_these, Cue::removed, Cue::after, Cue::answer, Cue::before})
      cues.insert(cues.end(), s_.of(c).begin(), s_.of(c).end());
    for (const Match& m : longest(drop_ambiguous(std::move(cues)))) apply(m);
    for (const Match& m : s_.of(Cue::looked_for)) sought(m);
    return std::move(denial_);
  }

 private:
  // "no" stands before a thing and is an answer after it; its place tells which. And
  // "not asbestos" only looks like denial, unless it goes on to a thing ("not asbestos cement").
  std::vector<Match> drop_ambiguous(std::vector<Match> cues) const {
    std::erase_if(cues, [&](const Match& m) {
      if (is(m, Cue::not_denial) && s_.any(m.first, m.last, Cue::before)) {
        for (const Mention& x : mentions_) {
          if (x.named && m.first < x.first && x.first < m.last) return true;
          for (const Match& look : x.looks)
            if (m.first < look.first && look.first < m.last && look.last > m.last) return true;
        }
      }
      // A laboratory's "none detected" is a result, not the writer's look.
      if ((is(m, Cue::after) || is(m, Cue::answer)) && s_.any(m.first, m.last, Cue::negative)) return true;
      if (is(m, Cue::answer)) return !is_answer(m);
      return is(m, Cue::before) && m.last - m.first == 1 && s_.has(m.first, Cue::answer) && is_answer(m);
    });
    return cues;
  }
  // An answer: a colon, dash, comma or word before it, and the clause's end after it.
  bool is_answer(const Match& m) const {
    const Sentence& in = s_.sentences[s_.sentence_of[m.first]];
    const bool ends = m.last >= in.last || s_.tokens[m.last].word == nullptr;
    if (!ends) return false;
    if (m.first == in.first) return asked_before(in.first);
    const Token& previous = s_.tokens[m.first - 1];
    // A box that is ticked: "[x] no"; an empty one answers nothing.
    if (previous.word == nullptr && previous.mark == ']') return m.first >= in.first + 2 && s_.tokens[m.first - 2].word != nullptr && s_.tokens[m.first - 2].word->folded == "x";
    return previous.word != nullptr || previous.mark == ':' || previous.mark == '-' || previous.mark == '_' || previous.mark == '=' || previous.mark == '|' || previous.mark == ',';
  }

  // Does a heading or a question stand right before the sentence that begins at `first`?
  bool asked_before(std::uint32_t first) const {
    return first > 0 && (s_.sentences[s_.sentence_of[first - 1]].heading || s_.is_mark(first - 1, '?'));
  }

  static bool is(const Match& m, Cue cue) { return m.tag.kind == static_cast<std::uint16_t>(cue); }

  void list_states() {
    std::vector<bool> owned(s_.tokens.size(), false);
    for (const Mention& x : mentions_)
      if (x.named)
        for (std::uint32_t i = x.first; i < x.last; ++i) owned[i] = true;
    for (const Match& m : longest(s_.of(Cue::condition))) {
      if (owned[m.first]) continue;
      // "loose fill" is no state; "loose fill vermiculite, loose at the hatch" still has one.
      const auto& none = s_.of(Cue::not_state);
      if (std::any_of(none.begin(), none.end(), [&](const Match& n) { return n.first <= m.first && m.last <= n.last; })) continue;
      denial_.states.push_back({m, false, false, {}, s_.sentence_of[m.first]});
    }
  }

  void list_items() {
    for (std::size_t i = 0; i < mentions_.size(); ++i)
      items_.push_back({mentions_[i].first, mentions_[i].last, static_cast<int>(i), -1});
    for (std::size_t i = 0; i < denial_.states.size(); ++i)
      items_.push_back({denial_.states[i].match.first, denial_.states[i].match.last, -1, static_cast<int>(i)});
    std::sort(items_.begin(), items_.end(), [](const Item& a, const Item& b) {
      return a.first != b.first ? a.first < b.first : a.last < b.last;
    });
  }

  Gap gap(std::uint32_t from, std::uint32_t to) const {
    Gap g;
    for (std::uint32_t i = from; i < to; ++i) {
      const Token& t = s_.tokens[i];
      if (t.word == nullptr) {
        g.comma = g.comma || t.mark == ',' || t.mark == '/';
        g.colon = g.colon || t.mark == ':';
        g.broken = g.broken || s_.breaks(i);
        continue;
      }
      if (s_.has(i, Cue::carrier)) g.carrier = true;
      if (s_.has(i, Cue::link)) g.link = true;
      if (s_.has(i, Cue::join)) g.join = true;
      if (!s_.has(i, Cue::filler) && !s_.has(i, Cue::join) && !s_.has(i, Cue::carrier) && !s_.has(i, Cue::link)) ++g.words;
    }
    return g;
  }

  // Where a scope from `from` ends: the sentence, a terminator, or a sign between clauses.
  std::uint32_t scope_end(std::uint32_t from) const {
    if (from >= s_.tokens.size()) return from;
    const Sentence& in = s_.sentences[s_.sentence_of[from - 1]];
    std::uint32_t i = from;
    while (i < in.last && !s_.has(i, Cue::terminator) && !s_.breaks(i)) ++i;
    return i;
  }
  std::uint32_t scope_begin(std::uint32_t to) const {
    const Sentence& in = s_.sentences[s_.sentence_of[to]];
    std::uint32_t i = to;
    while (i > in.first && !s_.has(i - 1, Cue::terminator)) --i;
    return i;
  }

  void apply(const Match& cue) {
    if (is(cue, Cue::not_denial)) return;
    if (is(cue, Cue::not_seen)) return unseen(cue);
    if (is(cue, Cue::before)) return before(cue);
    if (is(cue, Cue::of_these)) return of_these(cue);
    if (is(cue, Cue::after) || is(cue, Cue::answer)) return after(cue);
    removed(cue);
  }

  void deny(Item& item, const Match& cue) {
    if (item.state >= 0) {
      StateCue& state = denial_.states[static_cast<std::size_t>(item.state)];
      state.denied = true;
      state.denied_by = cue;
    } else {
      deny_thing(mentions_[static_cast<std::size_t>(item.mention)], cue);
    }
  }

  // Somebody's word alone denies nothing, and neither does a question or what the sentence takes back.
  void deny_thing(Mention& x, const Match& cue) {
    if (x.standing == Standing::lookalike) return;
    if (taken_back(cue)) {
      x.unseen = true;
      return;
    }
    if (but_for_a_place(x, cue) || told_again(x, cue)) return;
    if (s_.any_in_sentence(s_.sentence_of[cue.first], Cue::hearsay) && !own_look(cue)) {
      x.hearsay = true;
      return;
    }
    x.standing = Standing::denied;
    x.decided = cue;
    x.has_cue = true;
  }

  // "No vermiculite at the hatch does not mean none under the boards"; "No vermiculite under the boards?"
  bool taken_back(const Match& cue) const {
    const std::uint32_t n = s_.sentence_of[cue.first];
    if (s_.is_mark(s_.sentences[n].last - 1, '?') && !is(cue, Cue::answer)) return true;
    if (s_.any_in_sentence(n, Cue::undoing)) return true;
    // "Not one bedroom without a popcorn ceiling": two denials in one clause.
    if (!is(cue, Cue::before) || s_.tokens[cue.first].word == nullptr || s_.tokens[cue.first].word->folded != "without") return false;
    for (std::uint32_t i = cue.first; i > scope_begin(cue.first); --i)
      if (s_.has(i - 1, Cue::before)) return true;
    return false;
  }

  // "No popcorn in the living room but the bedrooms have popcorn": one description, said twice.
  bool told_again(const Mention& x, const Match& cue) const {
    if (x.named || x.looks.empty() || !is(cue, Cue::before)) return false;
    const std::uint32_t n = s_.sentence_of[cue.first], from = scope_end(cue.last);
    return std::any_of(s_.of(Cue::seen).begin(), s_.of(Cue::seen).end(), [&](const Match& m) {
      if (m.first < from || s_.sentence_of[m.first] != n || m.tag.item != x.looks.front().tag.item || m.tag.part != x.looks.front().tag.part) return false;
      return !s_.any(from, m.first, Cue::before);
    });
  }

  // "No popcorn ceilings except the hall closet": it is there, at the place that is named.
  bool but_for_a_place(const Mention& x, const Match& cue) const {
    const std::uint32_t n = s_.sentence_of[cue.first];
    for (const Match& e : s_.of(Cue::exception)) {
      if (s_.sentence_of[e.first] != n || e.first < cue.last || (x.named && e.first < x.last)) continue;
      for (std::uint32_t i = e.last; i < s_.sentences[n].last && i < e.last + kExceptionReach; ++i) {
        if (std::any_of(mentions_.begin(), mentions_.end(), [&](const Mention& m) { return m.named && m.first <= i && i < m.last; })) break;
        if (s_.has(i, Cue::place)) return true;
      }
    }
    return false;
  }

  // Papers seen, or the writer's own look, anywhere else in the observation than in the denial itself.
  bool own_look(const Match& cue) const {
    const auto& looks = s_.of(Cue::own_look);
    return std::any_of(looks.begin(), looks.end(), [&](const Match& m) { return m.first >= cue.last || m.last <= cue.first; });
  }

  // A state, and not only that a thing is left or replaced ("no mastic remaining").
  bool tells_state(const Item& item) const {
    if (item.state < 0) return false;
    const Match& m = denial_.states[static_cast<std::size_t>(item.state)].match;
    return (s_.knowledge->states >> m.tag.item & 1u) != 0;
  }

  // Is the state said of the thing as its adjective or compound ("cracked tile", "tile damage")?
  bool compound(const Item& thing, const Item& state) const {
    if (state.first < thing.last) return false;
    const Gap g = gap(thing.last, state.first);
    return state.first - thing.last <= 1 && !g.link && !g.carrier && !g.join && !g.comma && !g.broken && !g.colon;
  }

  bool is_state(const Match& look) const {
    return std::any_of(denial_.states.begin(), denial_.states.end(), [&](const StateCue& c) { return c.match.first < look.last && look.first < c.match.last; });
  }

  // "the siding isn't asbestos cement": the cue stands inside a description, before the word it denies.
  bool inside_description(const Match& cue) {
    for (Mention& x : mentions_) {
      if (x.named || cue.first < x.first || cue.last > x.last) continue;
      for (const Match& look : x.looks)
        if (!is_state(look) && look.first >= cue.last && gap(cue.last, look.first).words < kThingReach && !gap(cue.last, look.first).carrier && !gap(cue.last, look.first).comma) {
          deny_thing(x, cue);
          return true;
        }
    }
    return false;
  }

  void before(const Match& cue) {
    if (inside_description(cue)) return;
    const std::uint32_t end = scope_end(cue.last);
    enum class Mode { none, state, thing } mode = Mode::none;
    std::uint32_t at = cue.last;
    for (std::size_t i = first_item_from(cue.last); i < items_.size() && items_[i].first < end; ++i) {
      Item& item = items_[i];
      if (item.first < at) continue;  // Inside what was met already.
      const Gap g = gap(at, item.first);
      if (mode == Mode::none && g.comma) return;             // "no papers, lagging in the basement"
      if (item.state >= 0) {
        if (g.carrier || g.link || g.words > kStateReach) return;
        const bool at_once = mode == Mode::state && item.first == at;  // "no cracked pieces"
        if (mode != Mode::none && !at_once && !goes_on(i, g, end)) return;
        deny(item, cue);
        if (mode == Mode::none) mode = Mode::state;
        at = item.last;
        continue;
      }
      const bool modified = i > 0 && items_[i - 1].state >= 0 && items_[i - 1].last <= item.first &&
                            items_[i - 1].first >= cue.last && gap(items_[i - 1].last, item.first).words == 0 &&
                            !gap(items_[i - 1].last, item.first).join && !gap(items_[i - 1].last, item.first).comma;
      if (modified) return;                                  // "no cracked tile": the tile is there.
      if (g.carrier || g.link) return;                       // "no damage to the lagging"
      if (mode == Mode::state && !(g.join && g.words == 0)) return;
      if (mode == Mode::none && g.words > (strict(cue) ? 0 : kThingReach)) return;
      if (mode == Mode::thing && (g.words > kJoinReach || !goes_on(i, g, end))) return;
      if (i + 1 < items_.size() && tells_state(items_[i + 1]) && items_[i + 1].first < end && compound(item, items_[i + 1])) {
        mode = Mode::state;                                  // "no lagging damage"
        at = item.last;
        continue;
      }
      deny(item, cue);
      mode = Mode::thing;
      at = item.last;
    }
  }

  // Does the denied list go on to item `i`? A comma alone is no list: "no vermiculite, lagging torn". One
  // is told by a later "or", "nor" or "and" between its parts, or by a last word such as "seen".
  bool goes_on(std::size_t i, const Gap& g, std::uint32_t end) const {
    if (g.join) return true;
    if (!g.comma) return false;
    for (std::size_t j = i + 1; j < items_.size() && items_[j].first < end; ++j) {
      const Gap next = gap(items_[j - 1].last, items_[j].first);
      if (next.carrier || next.link || next.words > kStateReach) return false;
      if (next.join) return true;
      if (!next.comma) return false;
      i = j;
    }
    // "no lagging, duct wrap or plaster": the list may end in a thing that is no material of ours.
    for (std::uint32_t t = items_[i].last; t < end && t < items_[i].last + 2; ++t)
      if (s_.has(t, Cue::join)) return true;
    return false;
  }

  // "not" reaches only what follows at once; "no" and its like reach over a word or two.
  bool strict(const Match& cue) const {
    const std::string& word = s_.tokens[cue.last - 1].word->folded;
    return cue.last - cue.first == 1 && (word == "not" || word == "never" || word.ends_with("n't"));
  }

  // Is the thing named, or its look at least ended, behind the word `from`?
  static bool said_from(const Mention& x, std::uint32_t from) {
    if (x.named) return x.first > from;
    return std::any_of(x.looks.begin(), x.looks.end(), [&](const Match& look) { return look.first > from; });
  }

  void of_these(const Match& cue) {
    if (inside_description(cue)) return;
    const std::uint32_t end = scope_end(cue.last);
    bool state_denied = false;
    for (std::size_t i = first_item_from(cue.last); i < items_.size() && items_[i].first < end; ++i)
      if (items_[i].state >= 0) {
        deny(items_[i], cue);
        denial_.states[static_cast<std::size_t>(items_[i].state)].of_all = true;
        state_denied = true;
      }
    if (state_denied) return;
    if (cue.last - cue.first > 1) {
      // "none of the lagging ..." leaves the lagging there; "none of the boots has paper wrap" denies the wrap.
      std::uint32_t from = cue.last;
      while (from < end && !s_.has(from, Cue::possession)) ++from;
      for (std::size_t i = first_item_from(cue.last); i < items_.size() && items_[i].first < end; ++i)
        if (items_[i].mention >= 0 && said_from(mentions_[static_cast<std::size_t>(items_[i].mention)], from)) deny(items_[i], cue);
      return;
    }
    for (std::size_t i = first_item_from(cue.last); i < items_.size() && items_[i].first < end; ++i) deny(items_[i], cue);
  }

  // "sheet vinyl, back not seen": behind the comma stands what was not seen, and it is no place. After
  // a colon the words are an answer about the thing, and "none seen" speaks of the thing itself.
  bool another_subject(std::uint32_t from, std::uint32_t to) const {
    bool comma = false;
    bool words = false;
    for (std::uint32_t i = from; i < to; ++i) {
      if (s_.is_mark(i, ':')) return false;
      if (s_.is_mark(i, ',')) comma = true;
      const bool counts = s_.tokens[i].word != nullptr && !s_.has(i, Cue::filler) && !s_.has(i, Cue::place) &&
                          !s_.has(i, Cue::join) && !s_.has(i, Cue::link) && !s_.has(i, Cue::carrier);
      words = comma && (words || counts);
    }
    return words;
  }

  void after(const Match& cue) {
    std::uint32_t begin = scope_begin(cue.first);
    // An answer right below a heading speaks of the heading.
    if (begin == cue.first && asked_before(begin)) begin = s_.sentences[s_.sentence_of[begin - 1]].first;
    std::size_t i = first_item_from(cue.first);
    std::uint32_t at = cue.first;
    bool met = false;
    // "Popcorn ceiling scraped, none left" speaks of the ceiling, not of the scraping.
    const bool of_remains = s_.has(cue.first, Cue::nothing_older);
    while (i > 0 && items_[i - 1].first >= begin) {
      Item& item = items_[--i];
      if (item.last > at || (item.state >= 0 && of_remains)) continue;
      const Gap g = gap(item.last, at);
      if (!met) {
        if (g.words > kAfterReach || (g.broken && g.words > 1) || (!s_.has(cue.first, Cue::answer) && another_subject(item.last, at))) return;
      } else if (!(g.join || g.comma) || g.carrier || g.words > kJoinReach) {
        return;
      }
      // "damage to the lagging: none" denies the damage.
      if (item.mention >= 0 && !met && i > 0 && items_[i - 1].state >= 0 && items_[i - 1].first >= begin && items_[i - 1].last <= item.first) {
        const Gap led = gap(items_[i - 1].last, item.first);
        if (led.carrier && !led.comma && !led.broken && !led.colon) return deny(items_[i - 1], cue);
      }
      deny(item, cue);
      if (item.state >= 0) return;
      met = true;
      at = item.first;
    }
  }

  // Taken away: denied, unless work is only planned, a remnant is told of, or it has just happened.
  void removed(const Match& cue) {
    const std::uint32_t sentence = s_.sentence_of[cue.first];
    for (const StateCue& state : denial_.states) {
      const std::string& id = s_.knowledge->conditions[static_cast<std::size_t>(state.match.tag.item)].id;
      const bool about_it = state.sentence == sentence && state.match.first <= cue.last && cue.first <= state.match.last + 2;
      const bool overlaps = state.match.first < cue.last && cue.first < state.match.last;
      if ((id == "work-planned" && about_it) || ((id == "partly-replaced" || id == "left-in-place") && overlaps)) return;
    }
    if (s_.any_in_sentence(sentence, Cue::just_now)) return;
    const std::uint32_t begin = scope_begin(cue.first);
    for (std::size_t i = first_item_from(cue.first); i > 0 && items_[i - 1].first >= begin; --i) {
      if (items_[i - 1].mention < 0) continue;
      if (items_[i - 1].last > cue.first) return;  // Something in its description was removed: "where the knob was removed".
      if (!s_.said_of_subject(items_[i - 1].last, cue.first)) return;
      take_away(mentions_[static_cast<std::size_t>(items_[i - 1].mention)], cue);
      return;
    }
    const std::uint32_t end = scope_end(cue.last);
    for (std::size_t i = first_item_from(cue.last); i < items_.size() && items_[i].first < end; ++i) {
      if (items_[i].mention < 0) continue;
      const Gap g = gap(cue.last, items_[i].first);
      if (g.words < kThingReach && !g.carrier && !g.comma && !g.broken) take_away(mentions_[static_cast<std::size_t>(items_[i].mention)], cue);
      return;
    }
  }

  void take_away(Mention& x, const Match& cue) {
    for (const Match& m : s_.of(Cue::remnant)) {
      if (m.first < x.last && x.first < m.last) continue;
      if (m.first < cue.last && cue.first < m.last) continue;
      if (denied_before(m)) continue;
      x.left_over = true;
      return;
    }
    deny_thing(x, cue);
  }

  bool denied_before(const Match& m) const {
    const std::uint32_t begin = s_.sentences[s_.sentence_of[m.first]].first;
    for (std::uint32_t i = m.first; i > begin && m.first - i < 2;) {
      --i;
      if (s_.has(i, Cue::before) || s_.has(i, Cue::after)) return true;
    }
    // "none remains", "no part of it remains": the remnant's word stands inside what denies it.
    const auto inside = [&](Cue c) {
      return std::any_of(s_.of(c).begin(), s_.of(c).end(), [&](const Match& d) { return d.first <= m.first && m.last <= d.last && d.last - d.first > m.last - m.first; });
    };
    return inside(Cue::before) || inside(Cue::after) || (s_.has(m.first, Cue::own_look) && s_.has(m.first, Cue::nothing_older));
  }

  void unseen(const Match& cue) {
    const std::uint32_t end = s_.sentences[s_.sentence_of[cue.first]].last;
    const std::uint32_t begin = s_.sentences[s_.sentence_of[cue.first]].first;
    bool met = false;
    for (std::size_t i = first_item_from(cue.last); i < items_.size() && items_[i].first < end; ++i)
      if (items_[i].mention >= 0) {
        mentions_[static_cast<std::size_t>(items_[i].mention)].unseen = true;
        met = true;
      }
    for (std::size_t i = first_item_from(cue.first); !met && i > 0 && items_[i - 1].first >= begin; --i)
      if (items_[i - 1].mention >= 0) {
        mentions_[static_cast<std::size_t>(items_[i - 1].mention)].unseen = true;
        met = true;
      }
  }

  void sought(const Match& cue) {
    const std::size_t i = first_item_from(cue.last);
    if (i >= items_.size() || items_[i].mention < 0) return;
    const Gap g = gap(cue.last, items_[i].first);
    Mention& x = mentions_[static_cast<std::size_t>(items_[i].mention)];
    if (s_.sentence_of[cue.first] != x.sentence || g.words > kThingReach || x.standing != Standing::present) return;
    x.standing = Standing::sought;
    x.decided = cue;
    x.has_cue = true;
  }

  std::size_t first_item_from(std::uint32_t token) const {
    const auto place = std::lower_bound(items_.begin(), items_.end(), token, [](const Item& item, std::uint32_t t) { return item.first < t; });
    return static_cast<std::size_t>(place - items_.begin());
  }

  const Scene& s_;
  std::vector<Mention>& mentions_;
  std::vector<Item> items_;
  Denial denial_;
};

}  // namespace

Denial read_denial(const Scene& scene, std::vector<Mention>& mentions) { return Reader(scene, mentions).read(); }

}  // namespace kb
