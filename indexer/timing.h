// Where the time of a run goes, for --timing. Nothing else may depend on it.
//
// One run a process and one thread: the seconds are kept in one place, so that no check has to hand
// them on. The two looks at the clock of a stage cost some 50 nanoseconds.
#pragma once

#include <cstdint>
#include <string>

namespace indexer {

// In the order of a run. `other` is all that no stage claims.
enum class Stage : std::uint8_t { other, read, yaml, markdown, checks, database, knowledge, finish };

// Counts the time until its end for `stage`; that of a stage inside it is not counted twice.
class StageTime {
 public:
  explicit StageTime(Stage stage);
  ~StageTime();
  StageTime(const StageTime&) = delete;
  StageTime& operator=(const StageTime&) = delete;

 private:
  Stage before_;
};

// A line for each stage, "yaml 0.123", in seconds since the start of the process or the last call,
// and last "all".
std::string stage_times();

}  // namespace indexer
