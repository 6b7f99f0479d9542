#include "indexer/timing.h"

#include <array>
#include <chrono>
#include <cstdio>

namespace indexer {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::array<const char*, 8> kNames{"other",  "read",     "yaml",      "markdown",
                                            "checks", "database", "knowledge", "finish"};

struct Times {
  std::array<Clock::duration, kNames.size()> spent{};
  Stage stage = Stage::other;
  Clock::time_point since = Clock::now();

  // Books the time up to now on the stage that ends, and begins `next`.
  void begin(Stage next) {
    const Clock::time_point now = Clock::now();
    spent.at(static_cast<std::size_t>(stage)) += now - since;
    since = now;
    stage = next;
  }
};

Times g_times;

std::string line(const char* name, Clock::duration spent) {
  std::array<char, 64> text{};
  std::snprintf(text.data(), text.size(), "%s %.3f\n", name, std::chrono::duration<double>(spent).count());
  return text.data();
}

}  // namespace

StageTime::StageTime(Stage stage) : before_(g_times.stage) { g_times.begin(stage); }
StageTime::~StageTime() { g_times.begin(before_); }

std::string stage_times() {
  g_times.begin(g_times.stage);
  std::string out;
  Clock::duration all{};
  for (std::size_t i = 1; i <= kNames.size(); ++i) {
    const std::size_t stage = i % kNames.size();  // "other" comes last.
    out += line(kNames.at(stage), g_times.spent.at(stage));
    all += g_times.spent.at(stage);
  }
  g_times.spent = {};
  return out + line("all", all);
}

}  // namespace indexer
