#include "kb/question.h"

#include <algorithm>
#include <set>

namespace kb {
namespace {

constexpr std::size_t kLongestCue = 6;
constexpr std::size_t kMostStarts = 256;   // Words of a question that a row may begin at.
constexpr double kMilli = 1000;            // Points are stored as thousandths.

// The groups of one description that the question met.
struct Look {
  std::set<std::int64_t> groups;
  bool met_for = false, against = false;
};

class Reader {
 public:
  Reader(const Database& db, const QuestionWeights& weights) : db_(db), weights_(weights) {}

  Asked read(const std::vector<std::string>& stems, const std::string& reader) {
    Statement cue = db_.query("SELECT phrase, role, item, part FROM cue WHERE phrase>=?1 ORDER BY phrase");
    for_phrases(cue, stems, kLongestCue, [&](std::size_t first, std::size_t length) {
      const std::int64_t item = cue.integer(2);
      switch (static_cast<CueRole>(cue.integer(1))) {
        case CueRole::look: looks_[item].groups.insert(cue.integer(3)); break;
        case CueRole::look_for: looks_[item].met_for = true; break;
        case CueRole::look_against: looks_[item].against = true; break;
        case CueRole::lift: told_.push_back({first, length, item}); break;
      }
    });
    keep_longest();
    if (!reader.empty()) force(reader);
    add_looks();
    add_lifts();
    return std::move(out_);
  }

 private:
  // "rip it out" is no rip: a cue inside a longer one of another row says nothing.
  void keep_longest() {
    for (const Told& t : told_) {
      const bool inside = std::any_of(told_.begin(), told_.end(), [&](const Told& o) {
        return o.length > t.length && o.first <= t.first && t.first + t.length <= o.first + o.length;
      });
      if (!inside) lifts_.insert(t.item);
    }
  }

  // The reader who is named, and not the one whom the words would tell.
  void force(const std::string& reader) {
    for (const char* name : {"homeowner", "inspector"}) {
      const auto row = static_cast<std::int64_t>(weights_["reader-" + std::string(name)]);
      if (reader == name) lifts_.insert(row);
      else lifts_.erase(row);
    }
  }

  void add_looks() {
    Statement look = db_.query("SELECT article, parts, needs_for FROM look WHERE item=?1");
    for (const auto& [item, met] : looks_) {
      if (met.groups.empty()) continue;
      look.reset();
      look.bind(1, item);
      if (!look.step()) continue;
      const auto parts = static_cast<double>(look.integer(1));
      double share = static_cast<double>(met.groups.size()) / parts;
      if (look.integer(2) != 0 && !met.met_for) share *= 0.8;
      // One word of many says little; a description that holds altogether says most.
      const double points = weights_["look"] * share * share * (met.groups.size() == 1 ? 0.3 : 1.0);
      double& best = (met.against ? out_.modern : out_.looks)[look.integer(0)];
      best = std::max(best, points);
    }
  }

  void add_lifts() {
    Statement lift = db_.query("SELECT article, kind, points FROM lift WHERE item=?1");
    for (const std::int64_t item : lifts_) {
      lift.reset();
      lift.bind(1, item);
      while (lift.step()) {
        const double points = weights_["asked"] * static_cast<double>(lift.integer(2)) / kMilli;
        if (const std::int64_t article = lift.integer(0); article != 0) {
          double& best = out_.lifts[article];
          best = std::max(best, points);
        } else {
          double& best = out_.kinds[lift.text(1)];
          best = std::max(best, points);
        }
      }
    }
  }

  struct Told {
    std::size_t first, length;
    std::int64_t item;
  };

  const Database& db_;
  const QuestionWeights& weights_;
  std::vector<Told> told_;
  std::map<std::int64_t, Look> looks_;
  std::set<std::int64_t> lifts_;
  Asked out_;
};

}  // namespace

void for_phrases(Statement& statement, const std::vector<std::string>& stems, std::size_t longest,
                 const std::function<void(std::size_t first, std::size_t length)>& met) {
  for (std::size_t i = 0; i < stems.size() && i < kMostStarts; ++i) {
    std::string phrase;
    for (std::size_t length = 1; length <= longest && i + length <= stems.size(); ++length) {
      if (length > 1) phrase += ' ';
      phrase += stems[i + length - 1];
      statement.reset();
      statement.bind(1, std::string_view(phrase));
      bool goes_on = false;
      while (statement.step()) {
        const std::string_view row = statement.bytes(0);
        if (row == phrase) {
          met(i, length);
          continue;
        }
        goes_on = row.starts_with(phrase) && row[phrase.size()] == ' ';
        break;
      }
      if (!goes_on) break;
    }
  }
}

QuestionWeights::QuestionWeights(const Database& db) {
  Statement rows = db.query("SELECT name, points FROM weight");
  while (rows.step()) weights_[rows.text(0)] = static_cast<double>(rows.integer(1)) / kMilli;
}

double QuestionWeights::operator[](std::string_view name) const {
  const auto place = weights_.find(name);
  return place == weights_.end() ? 0 : place->second;
}

Asked read_question(const Database& db, const QuestionWeights& weights, const std::vector<std::string>& stems, const std::string& reader) {
  return Reader(db, weights).read(stems, reader);
}

}  // namespace kb
