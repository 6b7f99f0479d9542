#include "kb/states.h"

#include <algorithm>
#include <charconv>

namespace kb {
namespace {

constexpr std::uint32_t kAdjectiveReach = 3;  // "torn white paper wrap"
constexpr std::uint32_t kCarrierReach = 6;    // "crack in the north side cement flue"
constexpr std::uint32_t kRestReach = 4;
constexpr std::uint32_t kMineralReach = 3;
constexpr std::uint32_t kWordsInExtent = 2;   // "three old supply boots"
constexpr std::size_t kShortObservation = 4;  // Sentences.
constexpr std::size_t kPlacesKept = 2;
constexpr std::size_t kExtentsKept = 2;

class Reader {
 public:
  Reader(const Scene& scene, const std::vector<Mention>& mentions, const Denial& denial)
      : s_(scene), mentions_(mentions), denial_(denial), states_(mentions.size()) {}

  std::vector<State> read() {
    for (const StateCue& cue : denial_.states) bind(cue);
    pairs();
    disturbed();
    for (std::size_t i = 0; i < mentions_.size(); ++i) own_conditions(i);
    results();
    for (std::size_t i = 0; i < mentions_.size(); ++i) {
      settle(states_[i]);
      where(i);
    }
    return std::move(states_);
  }

 private:
  bool counts(const Mention& x) const { return x.standing == Standing::present; }

  ConditionSet bit(const char* id) const { return s_.knowledge->bit(id); }

  // How many tokens lie between, and whether a link, a carrier or a sign is among them.
  struct Between {
    std::uint32_t tokens = 0;
    bool link = false, carrier = false, mark = false;
  };
  Between between(std::uint32_t from, std::uint32_t to) const {
    Between b;
    for (std::uint32_t i = from; i < to; ++i) {
      if (s_.tokens[i].word == nullptr) {
        b.mark = b.mark || (s_.tokens[i].mark != '-' && s_.tokens[i].mark != '"');
        continue;
      }
      ++b.tokens;
      b.link = b.link || (s_.has(i, Cue::link) && !s_.has(i, Cue::carrier));
      b.carrier = b.carrier || s_.has(i, Cue::carrier);
    }
    return b;
  }

  // The mentions a cue at tokens [first, last) is said of. `subject`: not when its clause is on another part
  // of the house.
  std::vector<std::size_t> owners(std::uint32_t first, std::uint32_t last, bool subject = false) const {
    const std::uint32_t sentence = s_.sentence_of[first];
    std::vector<std::size_t> here;
    for (std::size_t i = 0; i < mentions_.size(); ++i)
      if (counts(mentions_[i]) && mentions_[i].sentence == sentence) here.push_back(i);
    if (here.empty()) {
      // A sentence on a thing that is absent says nothing of its neighbors.
      const bool other = std::any_of(mentions_.begin(), mentions_.end(), [&](const Mention& x) { return x.sentence == sentence && x.standing != Standing::sought; });
      return other ? here : owners_beside(sentence, first, last, subject);
    }
    if (const std::size_t i = by_head(here, first); i < mentions_.size()) return {i};
    if (subject && of_another(first, last, here)) return {};
    // Right before the thing, as its adjective, or led to it: "torn wrap", "crack in the flue".
    for (const std::size_t i : here) {
      const Mention& x = mentions_[i];
      if (x.first < last) continue;
      const Between b = between(last, x.first);
      const bool predicate = first > s_.sentences[sentence].first && s_.has(first - 1, Cue::link) && !s_.has(first - 1, Cue::carrier);
      if (!predicate && !b.mark && !b.link && (b.carrier ? b.tokens <= kCarrierReach : b.tokens <= kAdjectiveReach)) return {i};
      break;
    }
    if (s_.any_in_sentence(sentence, Cue::all) && here.size() > 1 && after_all(sentence, first)) return here;
    std::size_t nearest = here.front();
    for (const std::size_t i : here)
      if (mentions_[i].first < last) nearest = i;
    return {nearest};
  }

  // Is the state at [first, last) said, in its own clause, of a part of the house that none of `things` is?
  // A clause that also names one of them speaks of that.
  bool of_another(std::uint32_t first, std::uint32_t last, const std::vector<std::size_t>& things) const {
    const Sentence& in = s_.sentences[s_.sentence_of[first]];
    std::uint32_t begin = first, end = last;
    while (begin > in.first && !s_.is_mark(begin - 1, ',') && !s_.breaks(begin - 1) && !s_.is_mark(begin - 1, ':')) --begin;
    while (end < in.last && !s_.is_mark(end, ',') && !s_.breaks(end)) ++end;
    bool other = false;
    for (const Match& m : s_.of(Cue::other_subject)) {
      if (m.first < begin || m.last > end || (m.first < last && first < m.last)) continue;
      // "dust on the deck board": a place, not what the dust is of.
      if (m.first > in.first && s_.has(m.first - 1, Cue::carrier)) continue;
      if (m.first > in.first + 1 && s_.has(m.first - 2, Cue::carrier) && s_.has(m.first - 1, Cue::filler)) continue;
      other = true;
    }
    if (!other) return false;
    for (const std::size_t i : things) {
      if (mentions_[i].first < end && begin < mentions_[i].last) return false;
      for (std::uint32_t j = mentions_[i].first; j < mentions_[i].last; ++j)
        for (std::uint32_t t = begin; t < end; ++t)
          if (s_.tokens[t].id >= 0 && s_.tokens[t].id == s_.tokens[j].id && s_.has(t, Cue::other_subject)) return false;
    }
    return true;
  }

  // Does "both", "all" stand after the things and before the state?
  bool after_all(std::uint32_t sentence, std::uint32_t first) const {
    const Sentence& in = s_.sentences[sentence];
    std::size_t things = 0;
    for (std::uint32_t i = in.first; i < first; ++i) {
      if (s_.has(i, Cue::all)) return things > 1;
      for (const Mention& x : mentions_)
        if (counts(x) && x.first == i) ++things;
    }
    return false;
  }

  // The noun right before a state names its thing again: "9x9 tile in black glue, a few tiles chipped".
  std::size_t by_head(const std::vector<std::size_t>& among, std::uint32_t first) const {
    const std::uint32_t begin = s_.sentences[s_.sentence_of[first]].first;
    for (std::uint32_t i = first, steps = 0; i > begin && steps < 2; ++steps) {
      --i;
      if (s_.tokens[i].word == nullptr) break;
      if (s_.tokens[i].id < 0 || s_.has(i, Cue::filler) || s_.tokens[i].number) continue;
      for (const std::size_t m : among)
        for (std::uint32_t j = mentions_[m].first; j < mentions_[m].last; ++j)
          if (i >= mentions_[m].last && s_.tokens[j].id == s_.tokens[i].id && head_word(m, j)) return m;
    }
    return mentions_.size();
  }

  // Only a noun of the name or look counts, and only where no other mention has the same word.
  bool head_word(std::size_t m, std::uint32_t token) const {
    for (std::size_t k = 0; k < mentions_.size(); ++k) {
      if (k == m || !counts(mentions_[k])) continue;
      for (std::uint32_t j = mentions_[k].first; j < mentions_[k].last; ++j)
        if (s_.tokens[j].id == s_.tokens[token].id) return false;
    }
    return true;
  }

  // A sentence without a material speaks of the one before it, else of the one after it.
  std::vector<std::size_t> owners_beside(std::uint32_t sentence, std::uint32_t first, std::uint32_t last, bool subject) const {
    std::vector<std::size_t> previous, next;
    for (std::size_t i = 0; i < mentions_.size(); ++i) {
      if (!counts(mentions_[i])) continue;
      if (mentions_[i].sentence + 1 == sentence) previous.push_back(i);
      if (mentions_[i].sentence == sentence + 1) next.push_back(i);
    }
    std::vector<std::size_t> beside = previous;
    beside.insert(beside.end(), next.begin(), next.end());
    if (subject && of_another(first, last, beside)) return {};
    if (!previous.empty()) {
      if (s_.any_in_sentence(sentence, Cue::all)) return previous;
      if (const std::size_t i = by_head(previous, first); i < mentions_.size()) return {i};
      return {previous.back()};
    }
    if (!next.empty()) return {next.front()};
    return only_subject(sentence);
  }

  // A short observation on one thing goes on speaking of it.
  std::vector<std::size_t> only_subject(std::uint32_t sentence) const {
    if (s_.sentences.size() > kShortObservation) return {};
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < mentions_.size(); ++i) {
      if (!counts(mentions_[i])) continue;
      if (!out.empty() && mentions_[out.front()].material != mentions_[i].material) return {};
      if (mentions_[i].sentence < sentence) out = {i};
    }
    return out;
  }

  void bind(const StateCue& cue) {
    const Condition& condition = s_.knowledge->conditions[static_cast<std::size_t>(cue.match.tag.item)];
    const std::string& id = condition.id;
    const ConditionSet one = ConditionSet{1} << cue.match.tag.item;
    if (id == "intact" && rest_before(cue.match)) return;
    // Somebody else's word that it is sound is no look at it.
    const bool says_sound = (id == "intact") != cue.denied;
    if (says_sound && s_.any_in_sentence(cue.sentence, Cue::hearsay) && s_.of(Cue::own_look).empty()) return;
    // What fell lies on something else, which says nothing of whose it is.
    std::vector<std::size_t> of = owners(cue.match.first, cue.match.last, id != "debris");
    if (cue.of_all)
      for (std::size_t i = 0; i < mentions_.size(); ++i)
        if (counts(mentions_[i]) && mentions_[i].sentence == cue.sentence && std::find(of.begin(), of.end(), i) == of.end()) of.push_back(i);
    for (const std::size_t i : of) {
      State& state = states_[i];
      if (!holds_for(condition, mentions_[i], cue.sentence)) continue;
      if (cue.denied) {
        // "no cracks" says that it is sound; "not intact" stands among the damaged cues.
        if ((one & s_.knowledge->states) == 0) continue;
        if (id != "intact") state.conditions |= bit("intact");
        state.stated = true;
      } else {
        state.conditions |= one;
        if ((one & s_.knowledge->states) != 0) state.stated = true;
        if (id == "damaged") severity(state, cue);
      }
      state.condition_cues.push_back(cue.match);
    }
  }

  bool rest_before(const Match& m) const {
    const std::uint32_t begin = s_.sentences[s_.sentence_of[m.first]].first;
    for (std::uint32_t i = m.first; i > begin && m.first - i < kRestReach;)
      if (s_.has(--i, Cue::rest)) return true;
    return false;
  }

  // Does the condition hold for this material at all, and from where it is said?
  bool holds_for(const Condition& c, const Mention& x, std::uint32_t sentence) const {
    const auto& systems = s_.knowledge->materials[static_cast<std::size_t>(x.material)].systems;
    const auto of_one = [&](const std::vector<std::string>& wanted) {
      return wanted.empty() || std::any_of(wanted.begin(), wanted.end(), [&](const std::string& id) {
               return std::find(systems.begin(), systems.end(), id) != systems.end();
             });
    };
    return of_one(c.systems) && (x.sentence == sentence || of_one(c.systems_beside));
  }

  void severity(State& state, const StateCue& cue) {
    for (const Match& m : s_.of(Cue::severity)) {
      if (s_.sentence_of[m.first] != cue.sentence) continue;
      (m.tag.item == 1 ? state.bad : state.slight) = true;
    }
  }

  // Two cues with the thing between them: "pieces of the lagging on the floor".
  void pairs() {
    for (const Match& first : s_.of(Cue::first)) {
      if (said_not(first)) continue;
      for (const Match& second : s_.of(Cue::second)) {
        if (second.tag.item != first.tag.item || second.first < first.last || s_.sentence_of[second.first] != s_.sentence_of[first.first]) continue;
        bind({{first.first, first.last, first.tag}, false, false, {}, s_.sentence_of[first.first]});
        break;
      }
    }
  }

  // Somebody has just handled it: an act and a time in one sentence, or a fresh trace.
  void disturbed() {
    for (std::uint32_t n = 0; n < s_.sentences.size(); ++n) {
      const Match* cue = nullptr;
      for (const Match& m : s_.of(Cue::fresh_trace))
        if (s_.sentence_of[m.first] == n) cue = &m;
      if (cue == nullptr && s_.any_in_sentence(n, Cue::just_now))
        for (const Match& m : s_.of(Cue::act))
          if (s_.sentence_of[m.first] == n && !said_not(m)) cue = &m;
      if (cue == nullptr) continue;
      for (const std::size_t i : owners(cue->first, cue->last)) {
        states_[i].conditions |= bit("disturbed");
        states_[i].stated = true;
        states_[i].condition_cues.push_back(*cue);
      }
    }
  }

  bool said_not(const Match& m) const {
    const std::uint32_t begin = s_.sentences[s_.sentence_of[m.first]].first;
    for (std::uint32_t i = m.first; i > begin && m.first - i < 3;) {
      --i;
      if (s_.has(i, Cue::before) || s_.has(i, Cue::not_denial)) return true;
    }
    // "to be scraped", "will cut": still to come. "Scraped this week, and the rest is planned" has happened.
    return std::any_of(denial_.states.begin(), denial_.states.end(), [&](const StateCue& c) {
      if (c.sentence != s_.sentence_of[m.first] || s_.knowledge->conditions[static_cast<std::size_t>(c.match.tag.item)].id != "work-planned") return false;
      if (c.match.first < m.last && m.first < c.match.last) return true;
      if (c.match.first >= m.last) return !clause_ends(m.last, c.match.first);
      return !clause_ends(c.match.last, m.first);
    });
  }

  // Does a comma, a stop between clauses or a word such as "but" stand between two places?
  bool clause_ends(std::uint32_t from, std::uint32_t to) const {
    for (std::uint32_t i = from; i < to; ++i)
      if (s_.is_mark(i, ',') || s_.breaks(i) || s_.has(i, Cue::terminator)) return true;
    return false;
  }

  // What follows from the material itself or from how it was found.
  void own_conditions(std::size_t i) {
    const Mention& x = mentions_[i];
    if (!counts(x)) return;
    State& state = states_[i];
    if (x.unseen) state.conditions |= bit("not-visible");
    if (x.left_over) state.conditions |= bit("left-in-place");
    const Knowledge& k = *s_.knowledge;
    const std::string& id = k.materials[static_cast<std::size_t>(x.material)].id;
    const auto holds = [&](const std::vector<std::string>& ids) { return std::find(ids.begin(), ids.end(), id) != ids.end(); };
    if (holds(k.always_on_air_path)) state.conditions |= bit("air-path");
    if (holds(k.on_air_path_when_breaking) && (state.conditions & bit("damaged")) != 0) state.conditions |= bit("air-path");
  }

  // "5% chrysotile", and words such as "none detected" beside a laboratory's word.
  void results() {
    std::vector<Match> cues;
    for (const Cue c : {Cue::not_a_result, Cue::trace, Cue::negative, Cue::positive})
      cues.insert(cues.end(), s_.of(c).begin(), s_.of(c).end());
    std::vector<Match> kept = longest(std::move(cues));
    for (const Match& m : kept) {
      if (m.tag.kind == static_cast<std::uint16_t>(Cue::not_a_result) || !in_context(m)) continue;
      const char* value = m.tag.kind == static_cast<std::uint16_t>(Cue::trace) ? "trace" : m.tag.kind == static_cast<std::uint16_t>(Cue::negative) ? "negative" : "positive";
      give_result(m, value);
    }
    for (const Match& mineral : s_.of(Cue::mineral)) share_of(mineral);
    below_one();
  }

  bool in_context(const Match& m) const {
    const std::uint32_t n = s_.sentence_of[m.first];
    for (std::uint32_t j = n == 0 ? 0 : n - 1; j <= n + 1 && j < s_.sentences.size(); ++j) {
      const Sentence& in = s_.sentences[j];
      for (std::uint32_t i = in.first; i < in.last; ++i)
        if (s_.has(i, Cue::lab_context) && !s_.has(i, Cue::not_a_result)) return true;
    }
    return false;
  }

  bool percent_at(std::uint32_t i) const { return s_.tokens[i].word != nullptr && s_.tokens[i].word->folded == "percent"; }

  // "<1%" without a mineral.
  void below_one() {
    for (std::uint32_t i = 1; i + 1 < s_.tokens.size(); ++i)
      if (s_.is_mark(i - 1, '<') && s_.tokens[i].number && percent_at(i + 1)) give_result({i, i + 2, tag_of(Cue::trace)}, "trace");
  }

  // A share stands right before its mineral: NUMBER percent mineral.
  void share_of(const Match& mineral) {
    const std::uint32_t begin = s_.sentences[s_.sentence_of[mineral.first]].first;
    for (std::uint32_t i = mineral.first; i > begin && mineral.first - i < kMineralReach;) {
      --i;
      if (!percent_at(i) || i == begin || !s_.tokens[i - 1].number) continue;
      const std::string& digits = s_.tokens[i - 1].word->folded;
      double value = 0;
      std::from_chars(digits.data(), digits.data() + digits.size(), value);
      bool below = value < 1;
      if (i >= begin + 2) below = below || s_.is_mark(i - 2, '<') || s_.has(i - 1, Cue::trace);
      give_result({i - 1, mineral.last, mineral.tag}, below ? "trace" : "positive");
      return;
    }
  }

  void give_result(const Match& m, const std::string& value) {
    std::size_t owner = mentions_.size();
    const std::uint32_t sentence = s_.sentence_of[m.first];
    for (std::size_t i = 0; i < mentions_.size(); ++i) {
      const Mention& x = mentions_[i];
      if (!counts(x) && x.standing != Standing::denied) continue;
      if (x.sentence == sentence && (x.first < m.first || owner == mentions_.size())) owner = i;
      if (owner == mentions_.size() && x.sentence + 1 == sentence) owner = i;
      if (x.sentence + 1 == sentence && owner < mentions_.size() && mentions_[owner].sentence + 1 == sentence) owner = i;
    }
    if (owner == mentions_.size()) return;
    State& state = states_[owner];
    const auto rank = [](const std::string& v) { return v == "positive" ? 3 : v == "trace" ? 2 : v == "negative" ? 1 : 0; };
    state.test_cues.push_back(m);
    if (rank(value) > rank(state.tested)) state.tested = value;
  }

  // Sound only when nothing says otherwise of the same thing.
  void settle(State& state) const {
    const ConditionSet against = s_.knowledge->states & ~bit("intact");
    if ((state.conditions & against) != 0) state.conditions &= ~bit("intact");
  }

  void where(std::size_t i) {
    const Mention& x = mentions_[i];
    State& state = states_[i];
    const auto overlaps_name = [&](const Match& m) {
      return std::any_of(mentions_.begin(), mentions_.end(), [&](const Mention& y) { return y.named && m.first < y.last && y.first < m.last; });
    };
    for (const Match& m : longest(s_.of(Cue::place))) {
      const bool in_label = s_.tokens[m.first].begin >= s_.layout.label.begin && s_.tokens[m.last - 1].end <= s_.layout.label.end;
      if ((s_.sentence_of[m.first] != x.sentence && !in_label) || overlaps_name(m) || state.places.size() >= kPlacesKept) continue;
      state.places.push_back(s_.span(m));
    }
    for (const Match& m : s_.of(Cue::unit)) {
      const std::uint32_t n = s_.sentence_of[m.first];
      if (n != x.sentence || state.extents.size() >= kExtentsKept) continue;
      if (nearest_mention(m.first) != i) continue;
      const std::uint32_t begin = s_.sentences[n].first;
      std::uint32_t at = m.first;
      while (at > begin && m.first - at < kWordsInExtent && !s_.tokens[at - 1].number && s_.tokens[at - 1].word != nullptr && !s_.has(at - 1, Cue::carrier)) --at;
      // A size ("9x9") counts nothing.
      if (at == begin || !s_.tokens[at - 1].number || s_.tokens[at - 1].word->folded.find('x') != std::string::npos) continue;
      --at;
      if (at > begin && s_.has(at - 1, Cue::about)) --at;
      else if (at > begin + 1 && s_.is_mark(at - 1, '.') && s_.has(at - 2, Cue::about)) at -= 2;
      const Span span = s_.span(at, m.last);
      if (!state.extents.empty() && state.extents.back().begin == span.begin) {
        state.extents.back() = span;  // The longer unit: "linear ft".
      } else {
        state.extents.push_back(span);
      }
    }
  }

  std::size_t nearest_mention(std::uint32_t token) const {
    std::size_t best = mentions_.size();
    std::uint32_t distance = ~0u;
    for (std::size_t i = 0; i < mentions_.size(); ++i) {
      if (!counts(mentions_[i])) continue;
      const std::uint32_t d = token < mentions_[i].first ? mentions_[i].first - token : token >= mentions_[i].last ? token - mentions_[i].last + 1 : 0;
      if (d < distance) {
        distance = d;
        best = i;
      }
    }
    return best;
  }

  const Scene& s_;
  const std::vector<Mention>& mentions_;
  const Denial& denial_;
  std::vector<State> states_;
};

}  // namespace

std::vector<State> read_states(const Scene& scene, const std::vector<Mention>& mentions, const Denial& denial) {
  return Reader(scene, mentions, denial).read();
}

}  // namespace kb
