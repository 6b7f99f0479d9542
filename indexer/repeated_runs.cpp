#include "indexer/repeated_runs.h"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace indexer {
namespace {

// A word of a passage by its bytes and by a number that equal words share.
struct Word {
  std::uint64_t number = 0;
  std::size_t begin = 0;
  std::size_t end = 0;
};

bool in_word(unsigned char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '\'' || c >= 0x80;
}

// FNV-1a over the lower-case letters of each word.
std::vector<Word> words_of(std::string_view text) {
  std::vector<Word> out;
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
  return out;
}

// Calls `visit(run, first word, last word)` for every run of `length` words.
template <typename Visit>
void for_each_run(const std::vector<Word>& words, std::size_t length, Visit visit) {
  constexpr std::uint64_t kFactor = 0x9E3779B97F4A7C15u;
  std::uint64_t leaving = 1;
  for (std::size_t i = 1; i < length; ++i) leaving *= kFactor;
  std::uint64_t run = 0;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i >= length) run -= words[i - length].number * leaving;
    run = run * kFactor + words[i].number;
    if (i + 1 >= length) visit(run, words[i + 1 - length], words[i]);
  }
}

// Counts to three for each of many numbers, in two bits; several numbers may share a place, so a
// count is never too low and sometimes too high.
class SmallCounts {
 public:
  explicit SmallCounts(std::size_t numbers)
      : bits_(std::clamp(std::bit_width(numbers * 8), std::size_t{10}, std::size_t{28})),
        bytes_((std::size_t{1} << bits_) / 4) {}
  void add(std::uint64_t number) {
    const std::size_t at = place(number);
    const unsigned shift = 2 * (at % 4);
    if (((bytes_[at / 4] >> shift) & 3u) < 3) bytes_[at / 4] = static_cast<std::uint8_t>(bytes_[at / 4] + (1u << shift));
  }
  unsigned at(std::uint64_t number) const { return (bytes_[place(number) / 4] >> (2 * (place(number) % 4))) & 3u; }

 private:
  std::size_t place(std::uint64_t number) const { return (number * 0xD6E8FEB86659FD93u) >> (64 - bits_); }

  std::size_t bits_;
  std::vector<std::uint8_t> bytes_;
};

class RunFinder {
 public:
  RunFinder(const Corpus& corpus, const HouseStyle& style)
      : corpus_(corpus), words_(static_cast<std::size_t>(style.run_words)), pages_(style.run_pages) {}

  void run(Problems& problems) {
    std::size_t all = 0;
    for (const Page& page : corpus_.pages) all += runs_of(page).size();
    SmallCounts seen(all);
    for (const Page& page : corpus_.pages)
      for (const std::uint64_t run : runs_of(page)) seen.add(run);
    const unsigned enough = static_cast<unsigned>(std::min(pages_ + 1, 3));
    for (const Page& page : corpus_.pages)
      for (const std::uint64_t run : runs_of(page))
        if (seen.at(run) >= enough) ++pages_with_[run];
    std::erase_if(pages_with_, [this](const auto& entry) { return entry.second <= pages_; });
    if (pages_with_.empty()) return;
    for (const Page& page : corpus_.pages)
      for (const Section& section : page.sections)
        for (const Passage& passage : section.passages) report(passage, problems);
  }

 private:
  // The runs of a page, each once.
  std::vector<std::uint64_t> runs_of(const Page& page) const {
    std::vector<std::uint64_t> out;
    for (const Section& section : page.sections)
      for (const Passage& passage : section.passages)
        for_each_run(words_of(passage.text), words_, [&](std::uint64_t run, const Word&, const Word&) { out.push_back(run); });
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
  }

  // The first such run of a passage is enough to find the rest.
  void report(const Passage& passage, Problems& problems) const {
    bool told = false;
    for_each_run(words_of(passage.text), words_, [&](std::uint64_t run, const Word& first, const Word& last) {
      const auto found = pages_with_.find(run);
      if (told || found == pages_with_.end()) return;
      told = true;
      problems.add(Rule::repeated_run, passage.place,
                   "'" + passage.text.substr(first.begin, last.end - first.begin) + "' stands in " +
                       std::to_string(found->second) + " pages; say it once in a caution that is linked, or in other words");
    });
  }

  const Corpus& corpus_;
  std::size_t words_;
  int pages_;
  std::unordered_map<std::uint64_t, int> pages_with_;
};

}  // namespace

void check_repeated_runs(const Corpus& corpus, const HouseStyle& style, Problems& problems) {
  if (style.present && style.run_words > 0) RunFinder(corpus, style).run(problems);
}

}  // namespace indexer
