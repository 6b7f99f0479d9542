#include "indexer/repeated_runs.h"

#include <algorithm>
#include <bit>
#include <string>

namespace indexer {
namespace {

constexpr std::size_t kLinesOfPage = 8;
constexpr std::size_t kFewestLines = 1 << 12;
constexpr std::size_t kMostLines = 1 << 20;

bool in_word(unsigned char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '\'' || c >= 0x80;
}

std::uint64_t mixed(std::uint64_t number) {
  number = (number ^ (number >> 32)) * 0xD6E8FEB86659FD93u;
  return number ^ (number >> 32);
}

// Four places of a line, from bits of the number that did not choose the line.
constexpr unsigned kShifts[] = {0, 6, 12, 18};

}  // namespace

std::size_t SmallCounts::line_of(std::uint64_t number) const {
  return (number >> 24) & (lines_.size() - 1);
}

unsigned SmallCounts::add(std::uint64_t number) {
  number = mixed(number);
  Line& line = lines_[line_of(number)];
  unsigned least = 255;
  for (const unsigned shift : kShifts) least = std::min<unsigned>(least, line.counts[(number >> shift) & 63]);
  if (least == 255) return least;
  // Only the lowest grow: higher ones hold others as well.
  for (const unsigned shift : kShifts) {
    std::uint8_t& count = line.counts[(number >> shift) & 63];
    if (count == least) ++count;
  }
  return least + 1;
}

unsigned SmallCounts::at(std::uint64_t number) const {
  number = mixed(number);
  const Line& line = lines_[line_of(number)];
  unsigned least = 255;
  for (const unsigned shift : kShifts) least = std::min<unsigned>(least, line.counts[(number >> shift) & 63]);
  return least;
}

RepeatedRuns::RepeatedRuns(const HouseStyle& style, std::size_t pages)
    : active_(style.present && style.run_words > 0),
      words_(static_cast<std::size_t>(std::max(style.run_words, 1))),
      pages_(style.run_pages),
      enough_(static_cast<unsigned>(std::clamp(style.run_pages + 1, 1, 255))),
      seen_(active_ ? std::clamp(std::bit_ceil(pages * kLinesOfPage), kFewestLines, kMostLines) : 1) {}

// FNV-1a over the lower-case letters of each word.
void RepeatedRuns::words_of(std::string_view text, std::vector<Word>& out) {
  out.clear();
  for (std::size_t i = 0; i < text.size();) {
    if (!in_word(static_cast<unsigned char>(text[i]))) {
      ++i;
      continue;
    }
    Word word{14695981039346656037u, i, i};
    for (; i < text.size() && in_word(static_cast<unsigned char>(text[i])); ++i) {
      const char c = text[i];
      const auto folded = static_cast<unsigned char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
      word.number = (word.number ^ folded) * 1099511628211u;
    }
    word.end = i;
    out.push_back(word);
  }
}

// Calls `visit(run, first word, last word)` for every run of `words_` words.
template <typename Visit>
void RepeatedRuns::for_each_run(std::string_view text, Visit visit) const {
  thread_local std::vector<Word> words;
  words_of(text, words);
  constexpr std::uint64_t kFactor = 0x9E3779B97F4A7C15u;
  std::uint64_t leaving = 1;
  for (std::size_t i = 1; i < words_; ++i) leaving *= kFactor;
  std::uint64_t run = 0;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i >= words_) run -= words[i - words_].number * leaving;
    run = run * kFactor + words[i].number;
    if (i + 1 >= words_) visit(run, words[i + 1 - words_], words[i]);
  }
}

// Calls `visit(run)` for each run of the page, for equal ones once.
template <typename Visit>
void RepeatedRuns::for_each_run_once(const Page& page, Visit visit) {
  std::size_t bytes = 0;
  for (const Section& section : page.sections)
    for (const Passage& passage : section.passages) bytes += passage.text.size();
  once_.assign(std::bit_ceil(bytes + 2), 0);  // A word and the sign behind it have two bytes: half full.
  for (const Section& section : page.sections)
    for (const Passage& passage : section.passages)
      for_each_run(passage.text, [&](std::uint64_t run, const Word&, const Word&) {
        run += run == 0 ? 1 : 0;  // Zero stands for a free place.
        std::size_t at = mixed(run) & (once_.size() - 1);
        while (once_[at] != 0 && once_[at] != run) at = (at + 1) & (once_.size() - 1);
        if (once_[at] == run) return;
        once_[at] = run;
        visit(run);
      });
}

void RepeatedRuns::add(const Page& page) {
  if (!active_) return;
  for_each_run_once(page, [&](std::uint64_t run) { suspects_ = seen_.add(run) >= enough_ || suspects_; });
}

void RepeatedRuns::count(const Page& page) {
  for_each_run_once(page, [&](std::uint64_t run) {
    if (seen_.at(run) >= enough_) ++pages_with_[run];
  });
}

bool RepeatedRuns::found() {
  std::erase_if(pages_with_, [this](const auto& entry) { return entry.second <= pages_; });
  return !pages_with_.empty();
}

void RepeatedRuns::report(const Page& page, Problems& problems) const {
  for (const Section& section : page.sections)
    for (const Passage& passage : section.passages) {
      bool told = false;  // The first such run of a passage is enough to find the rest.
      for_each_run(passage.text, [&](std::uint64_t run, const Word& first, const Word& last) {
        const auto found = pages_with_.find(run + (run == 0 ? 1 : 0));
        if (told || found == pages_with_.end()) return;
        told = true;
        problems.add(Rule::repeated_run, passage.place,
                     "'" + passage.text.substr(first.begin, last.end - first.begin) + "' stands in " +
                         std::to_string(found->second) + " pages; say it once in a caution that is linked, or in other words");
      });
    }
}

}  // namespace indexer
