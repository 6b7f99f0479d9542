#include "indexer/question_cues.h"

#include <cmath>
#include <cstdlib>

#include "indexer/front_matter.h"
#include "indexer/value_checks.h"
#include "kb/question.h"

namespace indexer {
namespace {

using kb::CueRole;

// Points as thousandths.
std::int64_t milli(const Value* value) { return value == nullptr ? 0 : std::llround(std::strtod(value->text.c_str(), nullptr) * 1000); }

}  // namespace

QuestionCues::QuestionCues(const kb::Connection& db, kb::Lexicon& lexicon)
    : lexicon_(lexicon),
      cue_(db.handle(), "INSERT OR IGNORE INTO cue VALUES(?1,?2,?3,?4)"),
      look_(db.handle(), "INSERT INTO look VALUES(?1,?2,?3,?4)"),
      lift_(db.handle(), "INSERT INTO lift VALUES(?1,?2,?3,?4)"),
      weight_(db.handle(), "INSERT OR REPLACE INTO weight VALUES(?1,?2)") {}

void QuestionCues::cue(std::string_view phrase, kb::CueRole role, std::int64_t item, std::int64_t part) {
  const std::string key = kb::stemmed_text(phrase, lexicon_);
  if (key.empty()) return;
  cue_.bind(1, std::string_view(key));
  cue_.bind(2, static_cast<std::int64_t>(role));
  cue_.bind(3, item);
  cue_.bind(4, part);
  cue_.step();
  cue_.reset();
}

void QuestionCues::add(const Page& page, std::int64_t key) {
  for (const SeenAs& rule : seen_as_of(page.front)) {
    const std::int64_t item = ++looks_;
    std::int64_t group = 0;
    for (const auto& words : rule.all_of) {
      for (const std::string& word : words) cue(word, CueRole::look, item, group);
      ++group;
    }
    for (const std::string& word : rule.any_of) cue(word, CueRole::look_for, item, 0);
    for (const std::string& word : rule.against) cue(word, CueRole::look_against, item, 0);
    look_.bind(1, item);
    look_.bind(2, key);
    look_.bind(3, group);
    look_.bind(4, std::int64_t{rule.any_of.empty() ? 0 : 1});
    look_.step();
    look_.reset();
  }
}

void QuestionCues::finish(const Corpus& corpus, const std::map<std::string, std::int64_t, std::less<>>& keys) {
  const auto found = corpus.vocabulary.find("questions");
  if (found == corpus.vocabulary.end()) return;
  const Value& file = found->second;
  const auto add_weight = [&](const std::string& name, std::int64_t value) {
    weight_.bind(1, std::string_view(name));
    weight_.bind(2, value);
    weight_.step();
    weight_.reset();
  };
  const auto add_lift = [&](std::string_view article, std::string_view kind, std::int64_t by) {
    const auto key = keys.find(article);
    if (!article.empty() && key == keys.end()) return;  // A page that this corpus has not.
    lift_.bind(1, lifts_);
    lift_.bind(2, article.empty() ? std::int64_t{0} : key->second);
    lift_.bind(3, kind);
    lift_.bind(4, by);
    lift_.step();
    lift_.reset();
  };
  if (const Value* weights = file.find("weights"))
    for (const Member& m : weights->members) add_weight(m.key, milli(&m.value));
  if (const Value* kinds = file.find("kinds"))
    for (const Member& m : kinds->members) add_weight("kind-" + m.key, milli(&m.value));
  const std::int64_t reader_by = milli(file.find("weights") == nullptr ? nullptr : file.find("weights")->find("reader"));
  if (const Value* readers = file.find("readers"))
    for (const Member& reader : readers->members) {
      ++lifts_;
      for (const Text& kind : texts_under(reader.value, "kinds")) add_lift({}, kind.text, reader_by);
      for (const Text& word : texts_under(reader.value, "cues")) cue(word.text, CueRole::lift, lifts_, 0);
      add_weight("reader-" + reader.key, lifts_ * 1000);
    }
  if (const Value* rows = file.find("lifts"))
    for (const Value& row : rows->items) {
      ++lifts_;
      const std::int64_t by = milli(row.find("by"));
      for (const Text& id : texts_under(row, "articles")) add_lift(id.text, {}, by);
      for (const Text& kind : texts_under(row, "kinds")) add_lift({}, kind.text, by);
      for (const Text& word : texts_under(row, "cues")) cue(word.text, CueRole::lift, lifts_, 0);
    }
  // A state that is told lifts the caution for it.
  const auto conditions = corpus.vocabulary.find("conditions");
  const Value* list = conditions == corpus.vocabulary.end() ? nullptr : conditions->second.find("conditions");
  if (list == nullptr) return;
  const std::int64_t state_by = milli(file.find("weights") == nullptr ? nullptr : file.find("weights")->find("state"));
  for (const Value& condition : list->items) {
    ++lifts_;
    add_lift(text_under(condition, "caution"), {}, state_by);
    for (const Text& word : texts_under(condition, "cues")) cue(word.text, CueRole::lift, lifts_, 0);
  }
}

}  // namespace indexer
