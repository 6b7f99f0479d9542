// What a question asks for, told by its words: names met whole, looks that hold, and what lifts an article or a
// kind of article (vocabulary/questions.yaml). All of it stands in the database, looked up by rows of words.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "kb/database.h"

namespace kb {

// Consonants of a word, and of a name, that are enough to know it by its sound.
inline constexpr std::size_t kLeastSound = 3, kLeastNameSound = 6;

// What a row of the table `cue` is. look: a word of a description's group (item: the description, part: the
// group); look_for and look_against: of the description; lift: item is a row of `lift`.
enum class CueRole : int { look = 0, look_for = 1, look_against = 2, lift = 3 };

// Rows of words that stand in a table whose first column, `phrase`, is stemmed text in order. For each row of
// `stems` that is a phrase, calls `met(first, length)` with the statement at its row; longer rows are only
// looked for where some phrase begins so. `sql` has one parameter and orders by phrase.
void for_phrases(Statement& statement, const std::vector<std::string>& stems, std::size_t longest,
                 const std::function<void(std::size_t first, std::size_t length)>& met);

// The weights of questions.yaml; a missing one is 0.
class QuestionWeights {
 public:
  explicit QuestionWeights(const Database& db);
  double operator[](std::string_view name) const;

 private:
  std::map<std::string, double, std::less<>> weights_;
};

// What the cues of a question add, in points.
struct Asked {
  std::map<std::int64_t, double> looks;                    // By article.
  std::map<std::int64_t, double> lifts;                    // By article.
  std::map<std::int64_t, double> modern;                   // Looks that a modern word beside them speaks against.
  std::map<std::string, double, std::less<>> kinds;
};

// `stems`: the question's words, stemmed, in order. `reader`: "homeowner", "inspector", or empty: told by words.
Asked read_question(const Database& db, const QuestionWeights& weights, const std::vector<std::string>& stems, const std::string& reader);

}  // namespace kb
