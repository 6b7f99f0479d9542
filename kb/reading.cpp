#include "kb/reading.h"

#include <algorithm>
#include <set>

#include "kb/remarks.h"
#include "kb/states.h"
#include "kb/wording.h"
#include "kb/years.h"

namespace kb {
namespace {

constexpr std::uint32_t kAfterReach = 3;  // Words between a suspicion and "not observed".

const char* period_word(Period p) {
  switch (p) {
    case Period::before: return "before";
    case Period::within: return "within";
    case Period::after: return "after";
    case Period::unknown: break;
  }
  return "unknown";
}

bool holds(const std::vector<std::string>& list, const std::string& value) {
  return std::find(list.begin(), list.end(), value) != list.end();
}

// Asbestos is suspected in a sentence: a word of suspicion that is not denied, not a material's own
// name, not a laboratory's word, and not a sentence on the inspection's limits or a talk.
std::vector<Match> suspicions(const Scene& s, const std::vector<Mention>& mentions) {
  std::vector<Match> out;
  for (const Match& m : longest(s.of(Cue::suspicion))) {
    const std::uint32_t n = s.sentence_of[m.first];
    if (s.sentences[n].heading || s.any_in_sentence(n, Cue::scope) || s.any_in_sentence(n, Cue::talk)) continue;
    // A caption of the writer's own ("Asbestos caution: ...") is a heading, and suspects nothing yet.
    if (s.note.substr(s.layout.span.begin).starts_with(s.knowledge->wording.caption) && s.tokens[m.first].begin < s.layout.span.begin + s.knowledge->wording.caption.size()) continue;
    if (s.has(m.first, Cue::no_suspicion) || s.has(m.first, Cue::negative)) continue;
    const bool named = std::any_of(mentions.begin(), mentions.end(), [&](const Mention& x) { return x.named && m.first < x.last && x.first < m.last; });
    if (named) continue;
    bool denied = false;
    for (std::uint32_t i = m.first, steps = 0; i > s.sentences[n].first && steps < 3; ++steps) {
      --i;
      denied = denied || (s.has(i, Cue::before) && !s.has(i, Cue::not_denial));
      if (!s.has(i, Cue::filler) && !s.has(i, Cue::before)) break;
    }
    for (std::uint32_t i = m.last; i < s.sentences[n].last && i < m.last + kAfterReach; ++i) denied = denied || s.has(i, Cue::after);
    if (!denied) out.push_back(m);
  }
  return out;
}

// Reads one observation.
class ObservationReader {
 public:
  ObservationReader(const Scene& scene, const Knowledge& knowledge, std::optional<int> built)
      : s_(scene), k_(knowledge), built_(built), mentions_(find_mentions(scene)) {
    denial_ = read_denial(s_, mentions_);
    drop_heading_mentions();
    states_ = read_states(s_, mentions_, denial_);
    years_ = find_years(s_);
    suspicions_ = suspicions(s_, mentions_);
  }

  ObservationReading read() {
    out_.layout = s_.layout;
    if (topic_only(s_.layout.heading)) out_.layout.heading = {};
    if (topic_only(s_.layout.label)) out_.layout.label = {};
    for (std::size_t i = 0; i < mentions_.size(); ++i) take(i);
    // What is there in one sentence is not left out by another.
    std::erase_if(out_.left_out, [&](const LeftOut& l) {
      return std::any_of(out_.findings.begin(), out_.findings.end(), [&](const Finding& f) { return f.id == l.id || holds(f.other_readings, l.id); });
    });
    unknown_material();
    for (Finding& f : out_.findings) finish(f);
    return std::move(out_);
  }

  const std::vector<Match>& suspicions_found() const { return suspicions_; }

 private:
  // Does a heading or label name a topic ("HEATING") and no place?
  bool topic_only(Span span) const {
    bool topic = false, place = false;
    for (std::uint32_t i = 0; i < s_.tokens.size() && s_.tokens[i].begin < std::max(span.end, s_.layout.label.end); ++i) {
      if (s_.tokens[i].begin < span.begin || s_.tokens[i].end > span.end) continue;
      topic = topic || s_.has(i, Cue::topic);
      place = place || s_.has(i, Cue::place);
    }
    return topic && !place;
  }

  // A heading names its topic; the lines below it speak for themselves when they name a material.
  void drop_heading_mentions() {
    const auto in_heading = [&](const Mention& x) { return s_.sentences[x.sentence].heading; };
    if (std::any_of(mentions_.begin(), mentions_.end(), [&](const Mention& x) { return !in_heading(x); })) std::erase_if(mentions_, in_heading);
  }

  std::vector<Evidence> evidence(const Mention& x, const State& state) const {
    std::vector<Evidence> out;
    if (x.named) {
      out.push_back({s_.span(x.first, x.last), "name"});
    } else {
      for (const Match& m : x.looks) out.push_back({s_.span(m), "look"});
    }
    for (const Span& p : state.places) out.push_back({p, "place"});
    for (const Match& m : state.condition_cues) out.push_back({s_.span(m), "condition"});
    for (const Match& m : state.test_cues) out.push_back({s_.span(m), "test"});
    return out;
  }

  void leave_out(const std::string& id, const char* because, std::vector<Evidence> evidence) {
    const bool told = std::any_of(out_.left_out.begin(), out_.left_out.end(), [&](const LeftOut& l) { return l.id == id; });
    if (!told) out_.left_out.push_back({id, because, std::move(evidence)});
  }

  void take(std::size_t i) {
    const Mention& x = mentions_[i];
    const State& state = states_[i];
    const Material& m = k_.materials[static_cast<std::size_t>(x.material)];
    std::vector<Evidence> why = evidence(x, state);
    if (x.standing == Standing::sought) return;
    if (x.standing != Standing::present) {
      const bool tested = x.standing == Standing::denied && state.tested == "negative" && !holds(k_.never_cleared, m.id);
      why.push_back({s_.span(x.decided), x.standing == Standing::denied ? "denial" : "look"});
      return leave_out(m.id, tested ? "tested-negative" : x.standing == Standing::denied ? "denied" : "lookalike", std::move(why));
    }
    const bool hearsay_result = !state.tested.empty() && s_.any_in_sentence(x.sentence, Cue::hearsay) && !s_.of(Cue::own_look).size();
    if (state.tested == "negative" && !hearsay_result && !holds(k_.never_cleared, m.id)) return leave_out(m.id, "tested-negative", std::move(why));
    // A name that says asbestos suspects it by itself ("asbestos siding").
    const bool suspected = (x.named && s_.any(x.first, x.last, Cue::suspicion)) || std::any_of(suspicions_.begin(), suspicions_.end(), [&](const Match& q) { return s_.sentence_of[q.first] + 1 >= x.sentence && s_.sentence_of[q.first] <= x.sentence + 1; });
    const bool tells_of_rest = (state.conditions & (k_.bit("left-in-place") | k_.bit("partly-replaced"))) != 0 || state.tested == "positive" || state.tested == "trace";
    const Dating dating = date_mention(s_, x, years_, built_, suspected || tells_of_rest);
    if (dating.late) {
      if (dating.token) why.push_back({s_.span(*dating.token, *dating.token + 1), "year"});
      return leave_out(m.id, "period", std::move(why));
    }
    add(i, m, dating, hearsay_result, std::move(why));
  }

  // Joins this mention to the finding of the same material, or begins one.
  void add(std::size_t i, const Material& m, const Dating& dating, bool hearsay_result, std::vector<Evidence> why) {
    const Mention& x = mentions_[i];
    const State& state = states_[i];
    auto place = std::find_if(out_.findings.begin(), out_.findings.end(), [&](const Finding& f) { return f.id == m.id; });
    if (place == out_.findings.end()) {
      out_.findings.emplace_back();
      place = out_.findings.end() - 1;
      place->id = m.id;
      place->title = m.title;
      place->named = x.named;
    }
    Finding& f = *place;
    f.named = f.named || x.named;
    f.conditions |= state.conditions;
    f.stated = f.stated || state.stated;
    f.hearsay = f.hearsay || x.hearsay || hearsay_result;
    if (!hearsay_result && !state.tested.empty()) f.tested = state.tested;
    if (state.bad) f.severity = "bad";
    else if (state.slight && f.severity.empty()) f.severity = "slight";
    if (f.period == "unknown") {
      f.period = period_word(dating.period);
      f.year = dating.year;
    }
    if (dating.token) why.push_back({s_.span(*dating.token, *dating.token + 1), "year"});
    for (const std::string& id : x.other_readings)
      if (!holds(f.other_readings, id)) f.other_readings.push_back(id);
    f.places.insert(f.places.end(), state.places.begin(), state.places.end());
    f.extents.insert(f.extents.end(), state.extents.begin(), state.extents.end());
    f.evidence.insert(f.evidence.end(), why.begin(), why.end());
  }

  // A suspicion without a material gets the text for unknown material.
  void unknown_material() {
    for (const Match& q : suspicions_) {
      const std::uint32_t n = s_.sentence_of[q.first];
      const bool told = std::any_of(mentions_.begin(), mentions_.end(), [&](const Mention& x) {
        // A description that is plainly something modern tells nothing of what else is suspected here.
        if (x.sentence == n && (x.named || x.standing != Standing::lookalike)) return true;
        return x.standing == Standing::present && x.sentence + 1 >= n && x.sentence <= n + 1;
      });
      if (told) continue;
      if (out_.findings.empty() || out_.findings.back().id != k_.wording.unknown_id) {
        Finding f;
        f.id = k_.wording.unknown_id;
        const auto title = k_.titles.find(f.id);
        f.title = title == k_.titles.end() ? f.id : title->second;
        f.named = false;
        for (const Match& p : longest(s_.of(Cue::place)))
          if (s_.sentence_of[p.first] == n && f.places.size() < 2) f.places.push_back(s_.span(p));
        out_.findings.push_back(std::move(f));
      }
      out_.findings.back().evidence.push_back({s_.span(q), "look"});
    }
  }

  void finish(Finding& f) const {
    const ConditionSet against = k_.states & ~k_.bit("intact");
    if ((f.conditions & against) != 0) f.conditions &= ~k_.bit("intact");
    if ((f.conditions & k_.bit("damaged")) == 0) f.severity.clear();
    std::erase_if(f.other_readings, [&](const std::string& id) {
      return std::any_of(out_.findings.begin(), out_.findings.end(), [&](const Finding& g) { return g.id == id; });
    });
    std::stable_sort(f.evidence.begin(), f.evidence.end(), [](const Evidence& a, const Evidence& b) { return a.span.begin < b.span.begin; });
    const auto last = std::unique(f.evidence.begin(), f.evidence.end(), [](const Evidence& a, const Evidence& b) { return a.span == b.span && a.says == b.says; });
    f.evidence.erase(last, f.evidence.end());
  }

  const Scene& s_;
  const Knowledge& k_;
  std::optional<int> built_;
  std::vector<Mention> mentions_;
  Denial denial_;
  std::vector<State> states_;
  std::vector<Year> years_;
  std::vector<Match> suspicions_;
  ObservationReading out_;
};

// Work advised or planned anywhere in the note, by row of work.yaml, with its words.
struct Work {
  int row;
  Span span;
};

void find_work(const Scene& s, std::vector<Work>& out) {
  for (const Match& m : longest(s.of(Cue::elsewhere))) {
    bool denied = false;
    for (std::uint32_t i = m.first, steps = 0; i > s.sentences[s.sentence_of[m.first]].first && steps < 3; ++steps) denied = denied || s.has(--i, Cue::before);
    // Once is enough: a long note may say it on every line.
    const bool told = std::any_of(out.begin(), out.end(), [&](const Work& w) { return w.row == m.tag.item; });
    if (!denied && !told) out.push_back({m.tag.item, s.span(m)});
  }
}

void apply_work(const Knowledge& k, const std::vector<Work>& work, Finding& f) {
  const Material* m = k.material(f.id);
  for (const Work& w : work) {
    const auto& touches = k.elsewhere[static_cast<std::size_t>(w.row)].touches;
    const bool touched = holds(touches, f.id) || (m != nullptr && std::any_of(m->systems.begin(), m->systems.end(), [&](const std::string& id) { return holds(touches, id); }));
    if (!touched) continue;
    f.conditions |= k.bit("work-planned");
    f.evidence.push_back({w.span, "condition"});
  }
}

// A note without a full stop of its own was dictated: its signs may be written out.
bool signs_are_spoken(std::string_view note) { return note.find_first_of(".;!?") == std::string_view::npos; }

}  // namespace

namespace {

constexpr std::size_t kHeldWhole = std::size_t{64} << 10;  // Bytes of a note whose scenes are all kept.
constexpr std::size_t kWordsHeld = 20'000;                // Words looked up and remembered between scenes.

// Reads a note in two walks: what holds for the whole note (the house's year, work planned anywhere), then
// each observation. The scenes of an ordinary note are made once; those of a very long one twice, so that
// memory does not grow with it.
class NoteReader {
 public:
  NoteReader(std::string_view note, const Knowledge& k, const ReadOptions& options)
      : note_(note), k_(k), options_(options), spoken_(signs_are_spoken(note)), layout_(lay_out(note, options.skip)), built_(options.built) {
    k_.lexicon->keep_within(kWordsHeld);
    const bool held = note.size() <= kHeldWhole;
    for (const Observation& o : layout_) {
      Scene scene = make_scene(note_, o, k_, spoken_);
      find_work(scene, work_);
      // The year of the house may stand below what it dates.
      if (!built_) built_ = built_year(find_years(scene));
      if (held) scenes_.push_back(std::move(scene));
      if (!held) k_.lexicon->keep_within(kWordsHeld);
    }
  }

  const std::optional<int>& built() const { return built_; }

  void read(const PartSink& sink) {
    for (std::size_t i = 0; i < layout_.size(); ++i) {
      if (scenes_.empty()) {
        k_.lexicon->keep_within(kWordsHeld);
        one(make_scene(note_, layout_[i], k_, spoken_), sink);
      } else {
        one(scenes_[i], sink);
      }
    }
  }

 private:
  void one(const Scene& scene, const PartSink& sink) const {
    ObservationReader reader(scene, k_, built_);
    ObservationReading o = reader.read();
    std::vector<Remark> remarks;
    add_remarks(scene, o, remarks);
    for (Finding& f : o.findings) {
      apply_work(k_, work_, f);
      advise(k_, f);
      options_.plain ? compose_plain(note_, k_, o.layout, f) : compose(note_, k_, o.layout, options_.brief, f);
      o.advice = stronger(k_, o.advice, f.advice);
    }
    sink(std::move(o), std::move(remarks));
  }

  std::string_view note_;
  const Knowledge& k_;
  const ReadOptions& options_;
  bool spoken_;
  std::vector<Observation> layout_;
  std::vector<Scene> scenes_;
  std::vector<Work> work_;
  std::optional<int> built_;
};

}  // namespace

std::optional<int> read_note_by_parts(std::string_view note, const Knowledge& k, const ReadOptions& options, const PartSink& sink) {
  NoteReader reader(note, k, options);
  reader.read(sink);
  return reader.built();
}

Reading read_note(std::string_view note, const Knowledge& k, const ReadOptions& options) {
  Reading out;
  out.built = read_note_by_parts(note, k, options, [&](ObservationReading&& o, std::vector<Remark>&& remarks) {
    out.advice = stronger(k, out.advice, o.advice);
    out.observations.push_back(std::move(o));
    out.remarks.insert(out.remarks.end(), std::make_move_iterator(remarks.begin()), std::make_move_iterator(remarks.end()));
  });
  return out;
}

}  // namespace kb
