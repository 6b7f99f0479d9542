#include "kb/knowledge.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/error.h"

namespace kb {
namespace {

using nlohmann::json;

constexpr std::size_t kSoundOfOneWord = 6;    // Shorter keys sound like too many ordinary words.
constexpr std::size_t kSoundOfPhrase = 7;

json vocabulary_json(const Database& db, const std::string& file) {
  const std::string body = db.vocabulary(file);
  if (body.empty()) throw Error("vocabulary/" + file + ".yaml is missing; copy it from letbe's own articles and change it there");
  return json::parse(body);
}

std::vector<std::string> strings(const json& value) {
  std::vector<std::string> out;
  for (const json& item : value) out.push_back(item.get<std::string>());
  return out;
}

std::vector<std::string> strings_at(const json& value, const char* key) {
  const auto place = value.find(key);
  return place == value.end() ? std::vector<std::string>{} : strings(*place);
}

std::map<std::string, std::string, std::less<>> string_map(const json& value) {
  std::map<std::string, std::string, std::less<>> out;
  for (const auto& [key, item] : value.items()) out[key] = item.get<std::string>();
  return out;
}

// Fills a Knowledge step by step; each function reads one vocabulary file or table.
class Loader {
 public:
  Loader(const Database& db, Knowledge& into) : db_(db), k_(into) {}

  void load() {
    k_.lexicon = std::make_unique<Lexicon>(compile_word_rules(db_), [&db = db_](std::string_view w) {
      return db.general_word(w);
    });
    k_.corpus_version = db_.meta("corpus-version");
    titles();
    wording();
    conditions();
    materials();
    names();
    shared_names();
    denial();
    years();
    places_and_laboratory();
    advice();
    work_and_remarks();
    k_.tree.complete();
    k_.by_sound.flatten();
    k_.sound_words.flatten();
    k_.sounds.flatten();
    k_.lexicon->complete();
    k_.lexicon->set_mode(Lexicon::Mode::correct);
  }

 private:
  void cues(Cue cue, const std::vector<std::string>& phrases, int item = 0, int part = 0) {
    for (const std::string& phrase : phrases) k_.tree.add(phrase, tag_of(cue, item, part), *k_.lexicon);
  }
  void cues(Cue cue, const json& from, const char* key) { cues(cue, strings_at(from, key)); }

  void titles() {
    Statement s = db_.query("SELECT id, title FROM article");
    while (s.step()) k_.titles[s.text(0)] = s.text(1);
  }

  void wording() {
    const json w = vocabulary_json(db_, "wording");
    Wording& out = k_.wording;
    out.caption = w.at("caption").get<std::string>();
    out.sentences = string_map(w.at("sentences"));
    out.plain = string_map(w.at("plain"));
    out.labels = string_map(w.at("labels"));
    out.order = strings(w.at("order"));
    out.tested = string_map(w.at("tested"));
    out.advice = string_map(w.at("advice"));
    for (const auto& [advice, words] : w.at("said-by").items()) out.said_by[advice] = strings(words);
    out.standard_id = w.at("standard").get<std::string>();
    out.unknown_id = w.at("unknown").get<std::string>();
    out.least = w.at("words").at("least").get<int>();
    out.most = w.at("words").at("most").get<int>();
    out.brief = w.at("words").at("brief").get<int>();
    variants_ = string_map(w.at("variants"));
    Statement s = db_.query(
        "SELECT a.id, s.body FROM article a JOIN section s ON s.article=a.key "
        "WHERE s.level=2 AND s.heading='Report wording' AND a.kind<>'material'");
    while (s.step()) k_.cautions[s.text(0)] = s.text(1);
    Statement plain = db_.query(
        "SELECT a.id, s.body FROM article a JOIN section s ON s.article=a.key "
        "WHERE s.level=2 AND s.heading='For the homeowner' AND a.kind IN ('material','caution')");
    while (plain.step()) k_.plain[plain.text(0)] = single_blanks(plain.text(1));
  }

  void conditions() {
    const json c = vocabulary_json(db_, "conditions");
    for (const json& row : c.at("conditions")) {
      const int index = static_cast<int>(k_.conditions.size());
      k_.conditions.push_back({row.at("id").get<std::string>(), row.at("caution").get<std::string>(),
                               strings_at(row, "systems"), strings_at(row, "systems-beside")});
      k_.condition_index[k_.conditions.back().id] = index;
      cues(Cue::condition, strings(row.at("cues")), index);
      cues(Cue::first, strings_at(row, "first"), index);
      cues(Cue::second, strings_at(row, "second"), index);
    }
    cues(Cue::severity, strings(c.at("severity").at("bad")), 1);
    cues(Cue::severity, strings(c.at("severity").at("slight")), 0);
    cues(Cue::just_now, c, "just-now");
    cues(Cue::act, c, "acts");
    cues(Cue::fresh_trace, c, "fresh-traces");
    cues(Cue::rest, c, "rest");
    cues(Cue::not_state, c, "not-states");
    cues(Cue::other_subject, c, "other-subjects");
    cues(Cue::all, c, "all");
    k_.always_on_air_path = strings_at(c, "always-on-air-path");
    k_.on_air_path_when_breaking = strings_at(c, "on-air-path-when-breaking");
  }

  void materials() {
    Statement s = db_.query("SELECT key, id, title, front FROM article WHERE kind='material' ORDER BY key");
    while (s.step()) {
      const json front = json::parse(s.text(3));
      Material m;
      m.id = s.text(1);
      m.title = s.text(2);
      m.from = front.at("years").at("from").get<int>();
      m.to = front.at("years").at("to").get<int>();
      m.friability = front.at("friability").get<std::string>();
      m.unstated = front.at("unstated").get<std::string>();
      m.look_also = strings_at(front, "look-also");
      m.systems = strings_at(front, "systems");
      const int index = static_cast<int>(k_.materials.size());
      by_key_[s.integer(0)] = index;
      k_.material_index[m.id] = index;
      k_.materials.push_back(std::move(m));
      for (const json& rule : front.at("seen-as")) seen_rule(rule, index);
    }
    report_wording();
  }

  void seen_rule(const json& rule, int material) {
    const int index = static_cast<int>(k_.rules.size());
    const json& groups = rule.at("all-of");
    const auto for_words = strings_at(rule, "for");
    k_.rules.push_back({material, static_cast<int>(groups.size()), !for_words.empty()});
    int group = 0;
    for (const json& words : groups) cues(Cue::seen, strings(words), index, group++);
    cues(Cue::seen_for, for_words, index);
    cues(Cue::seen_against, strings_at(rule, "against"), index);
  }

  // The level-3 headings below a material's "Report wording" are its variants.
  void report_wording() {
    Statement s = db_.query(
        "SELECT s.article, s.level, s.heading, s.body FROM section s JOIN article a ON a.key=s.article "
        "WHERE a.kind='material' ORDER BY s.article, s.seq");
    bool inside = false;
    while (s.step()) {
      Material& m = k_.materials[static_cast<std::size_t>(by_key_.at(s.integer(0)))];
      if (s.integer(1) == 2) {
        inside = s.text(2) == "Report wording";
        if (inside) m.base = s.text(3);
      } else if (inside) {
        const auto variant = variants_.find(s.text(2));
        if (variant != variants_.end()) m.variants[variant->second] = s.text(3);
      }
    }
  }

  void named(const std::string& phrase, Tag tag) {
    const std::vector<Token> tokens = read_tokens(phrase, *k_.lexicon);
    k_.tree.add(tokens, tag);
    std::string key;
    int words = 0;
    for (const Token& t : tokens) {
      if (t.word == nullptr) continue;
      key += t.word->sound;
      ++words;
    }
    if (key.size() < (words == 1 ? kSoundOfOneWord : kSoundOfPhrase)) return;
    const std::int32_t list = k_.sounds.add(key, static_cast<std::int32_t>(k_.sounds.size()));
    k_.by_sound.add(static_cast<std::uint32_t>(list), tag);
    for (const Token& t : tokens)
      if (t.word != nullptr) k_.sound_words.add(static_cast<std::uint32_t>(list), t.id);
  }

  void names() {
    Statement s = db_.query("SELECT article, text, heard FROM name ORDER BY article, seq");
    while (s.step()) {
      const auto place = by_key_.find(s.integer(0));
      if (place == by_key_.end()) continue;  // Names of other kinds serve the search.
      const Tag tag = tag_of(Cue::name, place->second, static_cast<int>(s.integer(2)));
      named(s.text(1), tag);
    }
  }

  void shared_names() {
    for (const json& row : vocabulary_json(db_, "shared-names")) {
      const int index = static_cast<int>(k_.shared.size());
      SharedName shared{row.at("name").get<std::string>(), strings(row.at("ids")), row.at("default").get<std::string>()};
      named(shared.name, tag_of(Cue::shared, index));
      const auto decide = row.find("decide");
      if (decide != row.end())
        for (const auto& [id, words] : decide->items()) {
          const auto at = std::find(shared.ids.begin(), shared.ids.end(), id);
          if (at == shared.ids.end()) continue;
          cues(Cue::decide, strings(words), index, static_cast<int>(at - shared.ids.begin()));
        }
      k_.shared.push_back(std::move(shared));
    }
  }

  void denial() {
    const json d = vocabulary_json(db_, "denial");
    const std::pair<Cue, const char*> rows[] = {
        {Cue::before, "before"},         {Cue::of_these, "of-these"},     {Cue::after, "after"}, {Cue::answer, "answers"},
        {Cue::removed, "removed"},       {Cue::not_denial, "not-denial"}, {Cue::not_seen, "not-seen"}, {Cue::undoing, "undoing"}, {Cue::exception, "exceptions"}, {Cue::possession, "possession"},
        {Cue::filler, "fillers"},        {Cue::terminator, "terminators"}, {Cue::carrier, "carriers"},
        {Cue::link, "links"}, {Cue::join, "joins"}, {Cue::looked_for, "looked-for"}, {Cue::hearsay, "hearsay"},
        {Cue::own_look, "own-look"},     {Cue::remnant, "remnant"},       {Cue::modern, "modern"}};
    for (const auto& [cue, key] : rows) cues(cue, d, key);
    const json s = vocabulary_json(db_, "suspicion");
    cues(Cue::suspicion, s, "suspicion");
    cues(Cue::doubt, s, "doubt");
    cues(Cue::scope, s, "scope");
    cues(Cue::talk, s, "talk");
    cues(Cue::no_suspicion, s, "none");
  }

  void years() {
    const json y = vocabulary_json(db_, "years");
    cues(Cue::built, y, "built");
    cues(Cue::addition, y, "addition");
    cues(Cue::installed, y, "installed");
    cues(Cue::event, y, "event");
    cues(Cue::original, y, "original");
    cues(Cue::older_part, y, "older-part");
    cues(Cue::nothing_older, y, "nothing-older");
    for (const auto& [phrase, range] : y.at("decades").items())
      k_.tree.add(phrase, tag_of(Cue::decade, range.at(0).get<int>(), range.at(1).get<int>()), *k_.lexicon);
  }

  void places_and_laboratory() {
    const json p = vocabulary_json(db_, "places");
    cues(Cue::place, p, "places");
    cues(Cue::topic, p, "topics");
    cues(Cue::unit, p, "units");
    cues(Cue::about, p, "about");
    const json l = vocabulary_json(db_, "laboratory");
    cues(Cue::mineral, l, "minerals");
    cues(Cue::positive, l, "positive");
    cues(Cue::negative, l, "negative");
    cues(Cue::trace, l, "trace");
    cues(Cue::lab_context, l, "context");
    cues(Cue::not_a_result, l, "not-a-result");
  }

  ConditionSet set_of(const json& when, const char* key) const {
    ConditionSet set = 0;
    for (const std::string& id : strings_at(when, key)) set |= k_.bit(id);
    return set;
  }

  void advice() {
    const json a = vocabulary_json(db_, "advice");
    k_.advice_order = strings(a.at("order"));
    k_.never_cleared = strings_at(a, "never-cleared");
    k_.states = set_of(a, "states");
    for (const json& row : a.at("rows")) {
      const json& when = row.at("when");
      AdviceRow out;
      out.advice = row.at("advice").get<std::string>();
      out.because = row.value("because", "");
      out.any = set_of(when, "any");
      out.all = set_of(when, "all");
      out.without = set_of(when, "without");
      out.friability = strings_at(when, "friability");
      out.tested = strings_at(when, "tested");
      out.materials = strings_at(when, "materials");
      out.severity = when.value("severity", "");
      out.unstated = when.value("unstated", "");
      if (when.contains("stated")) out.stated = when.at("stated").get<bool>();
      k_.advice_rows.push_back(std::move(out));
    }
  }

  void work_and_remarks() {
    const json w = vocabulary_json(db_, "work");
    for (const json& row : w.at("elsewhere")) {
      cues(Cue::elsewhere, strings(row.at("cues")), static_cast<int>(k_.elsewhere.size()));
      k_.elsewhere.push_back({strings(row.at("touches"))});
    }
    const json r = vocabulary_json(db_, "remarks");
    for (const json& row : r.at("remarks")) {
      cues(Cue::remark, strings(row.at("cues")), static_cast<int>(k_.remark_rules.size()));
      k_.remark_rules.push_back({row.at("says").get<std::string>(), row.at("text").get<std::string>()});
    }
    k_.place_missing = r.at("place-missing").get<std::string>();
    k_.extent_missing = r.at("extent-missing").get<std::string>();
    k_.photo = r.at("photo").get<std::string>();
  }

  const Database& db_;
  Knowledge& k_;
  std::map<std::int64_t, int> by_key_;
  std::map<std::string, std::string, std::less<>> variants_;
};

}  // namespace

ConditionSet Knowledge::bit(std::string_view condition_id) const {
  const auto place = condition_index.find(condition_id);
  return place == condition_index.end() ? 0 : ConditionSet{1} << place->second;
}

std::vector<std::string> Knowledge::ids_of(ConditionSet set) const {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < conditions.size(); ++i)
    if ((set >> i) & 1u) out.push_back(conditions[i].id);
  return out;
}

const Material* Knowledge::material(std::string_view id) const {
  const auto place = material_index.find(id);
  return place == material_index.end() ? nullptr : &materials[static_cast<std::size_t>(place->second)];
}

WordRules compile_word_rules(const Database& db) {
  const json w = vocabulary_json(db, "words");
  WordRules rules;
  rules.same = string_map(w.at("same"));
  rules.abbreviations = strings(w.at("abbreviations"));
  rules.spoken = string_map(w.at("spoken"));
  rules.negating_prefixes = strings(w.at("negating-prefixes"));
  rules.quiet = strings_at(w, "quiet");
  rules.whole = strings_at(w, "whole");
  return rules;
}

Knowledge compile_knowledge(const Database& db) {
  Knowledge k;
  try {
    Loader(db, k).load();
  } catch (const json::exception& e) {
    throw Error(std::string("vocabulary: ") + e.what() + "; compare the file with the one in letbe's own articles");
  }
  return k;
}

}  // namespace kb
