// What the search knows of questions: vocabulary/questions.yaml, the words of conditions.yaml and the looks of
// the materials, made into rows that a question's words are looked up in.
#pragma once

#include <map>
#include <string>

#include "indexer/corpus.h"
#include "indexer/page.h"
#include "kb/lexicon.h"
#include "kb/question.h"
#include "kb/sqlite.h"

namespace indexer {

class QuestionCues {
 public:
  QuestionCues(const kb::Connection& db, kb::Lexicon& lexicon);

  // The looks of a page, when it has any, under its key.
  void add(const Page& page, std::int64_t key);
  // Rows and weights, once every page has its key.
  void finish(const Corpus& corpus, const std::map<std::string, std::int64_t, std::less<>>& keys);

 private:
  void cue(std::string_view phrase, kb::CueRole role, std::int64_t item, std::int64_t part);

  kb::Lexicon& lexicon_;
  kb::Statement cue_, look_, lift_, weight_;
  std::int64_t looks_ = 0, lifts_ = 0;
};

}  // namespace indexer
