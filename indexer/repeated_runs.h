// Boilerplate: the same long run of words in too many pages.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "indexer/house_style.h"
#include "indexer/page.h"
#include "indexer/problem.h"

namespace indexer {

// Counts to 255 for each of many numbers in a fixed memory. Numbers share places, so a count is never
// too low and seldom too high: each number has four places in one line of the cache, and the least
// counts.
class SmallCounts {
 public:
  explicit SmallCounts(std::size_t lines) : lines_(lines) {}  // A power of two; 64 bytes each.
  // Counts `number` once more and returns its count.
  unsigned add(std::uint64_t number);
  unsigned at(std::uint64_t number) const;

 private:
  struct alignas(64) Line {
    std::uint8_t counts[64] = {};
  };
  std::size_t line_of(std::uint64_t number) const;

  std::vector<Line> lines_;
};

// Finds the runs of `run_words` words which stand in more than `run_pages` pages. Signs and case do not
// count; a run lies inside one passage. All pages go through add(); only when there are suspects then
// through count(), which counts exactly, and only when some are found through report(). The memory is
// half a KiB a page, 64 MiB at most; up to a hundred thousand pages of two thousand words there are
// suspects only where a run really stands in that many pages.
class RepeatedRuns {
 public:
  // `pages`: about how many there will be.
  RepeatedRuns(const HouseStyle& style, std::size_t pages);

  void add(const Page& page);
  bool suspects() const { return suspects_; }
  void count(const Page& page);
  bool found();
  // Reports each passage of `page` that holds such a run.
  void report(const Page& page, Problems& problems) const;

 private:
  // A word of a passage by its bytes and by a number that equal words share.
  struct Word {
    std::uint64_t number = 0;
    std::size_t begin = 0;
    std::size_t end = 0;
  };
  static void words_of(std::string_view text, std::vector<Word>& out);
  template <typename Visit>
  void for_each_run(std::string_view text, Visit visit) const;
  template <typename Visit>
  void for_each_run_once(const Page& page, Visit visit);

  bool active_;
  std::size_t words_;
  int pages_;
  unsigned enough_;  // A count from which on a run is suspect.
  SmallCounts seen_;
  bool suspects_ = false;
  std::unordered_map<std::uint64_t, int> pages_with_;  // Of suspects.
  std::vector<std::uint64_t> once_;                    // The runs of a page, as a hash table.
};

}  // namespace indexer
