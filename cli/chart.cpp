#include "kb/chart.h"

#include <algorithm>

#include "cli/commands.h"
#include "cli/ids.h"
#include "cli/output.h"
#include "cli/render.h"
#include "cli/source.h"
#include "cli/terminal.h"
#include "kb/limits.h"

namespace cli {
namespace {

constexpr int kScaleYears = 20;  // Between two years of the scale.

// The chart in columns of signs: "=" common use, "-" a soft end, "|" the house's year, "." the scale.
class Columns {
 public:
  Columns(const kb::Chart& chart, const Terminal& terminal)
      : chart_(chart), terminal_(terminal), width_(terminal.tty ? terminal.width : 80) {
    for (const kb::ChartGroup& g : chart.groups)
      for (const kb::Usage& m : g.materials) labels_ = std::max(labels_, static_cast<int>(m.id.size()));
    labels_ += 4;
  }

  std::string lay_out() const {
    std::string out = scale();
    for (const kb::ChartGroup& g : chart_.groups) {
      out += "\n" + heading(g.title, terminal_) + "\n";
      for (const kb::Usage& m : g.materials) out += row(m);
    }
    return out + "\n" + legend();
  }

 private:
  int bars() const { return std::max(10, width_ - labels_); }
  int column(int year) const { return (year - chart_.first) * (bars() - 1) / std::max(1, chart_.last - chart_.first); }

  template <typename Take>
  void each_mark(Take take) const {
    for (int year = (chart_.first + kScaleYears - 1) / kScaleYears * kScaleYears; year <= chart_.last; year += kScaleYears) take(year);
  }

  std::string scale() const {
    std::string years(static_cast<std::size_t>(bars()), ' ');
    std::size_t free = 0;  // First column that no year has taken.
    each_mark([&](int year) {
      const std::string text = std::to_string(year);
      const std::size_t at = std::min(static_cast<std::size_t>(column(year)), years.size() - text.size());
      if (at < free) return;
      years.replace(at, text.size(), text);
      free = at + text.size() + 1;
    });
    return std::string(static_cast<std::size_t>(labels_), ' ') + dim(trimmed(years), terminal_) + "\n";
  }

  std::string row(const kb::Usage& m) const {
    std::string bar(static_cast<std::size_t>(bars()), ' ');
    each_mark([&](int year) { bar[static_cast<std::size_t>(column(year))] = '.'; });
    const int end = m.soft ? m.to + chart_.soft_years : m.to;
    for (int c = column(m.from); c <= column(std::min(end, chart_.last)); ++c) bar[static_cast<std::size_t>(c)] = c <= column(m.to) ? '=' : '-';
    std::string label = "  " + m.id;
    label.resize(static_cast<std::size_t>(labels_), ' ');
    if (!chart_.built) return label + trimmed(bar) + "\n";
    const auto at = static_cast<std::size_t>(column(*chart_.built));
    return label + bar.substr(0, at) + warning("|", terminal_) + trimmed(bar.substr(at + 1)) + "\n";
  }

  std::string legend() const {
    const auto word = [&](const char* key) {
      const auto place = chart_.words.chart.find(key);
      return place == chart_.words.chart.end() ? std::string() : place->second;
    };
    std::string out = "=  " + word("bar") + "\n-  " + word("soft") + "\n";
    if (chart_.built) out += warning("|", terminal_) + "  " + kb::house_line(chart_) + "\n";
    return out + "\n" + render_markdown(word("says") + " " + kb::kStandingLimits, terminal_);
  }

  static std::string trimmed(std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    return line;
  }

  const kb::Chart& chart_;
  const Terminal& terminal_;
  const int width_;
  int labels_ = 0;
};

}  // namespace

int run_chart(const ChartCommand& command) {
  const kb::Database db = open_database(command.db);
  if (!command.system.empty() && !all_known(db, {command.system}, "system")) return kWrongUse;
  const kb::Chart chart = kb::make_chart(db, command.system, command.built);
  if (chart.groups.empty()) {
    complain("no material belongs to '" + command.system + "'; leave --system out to see all");
    return kNothing;
  }
  OutputFile out(command.output);
  const bool to_file = !command.output.empty() && command.output != "-";
  const Terminal terminal = to_file ? Terminal{} : describe_terminal(1);
  out.add(command.as == "svg" ? kb::chart_svg(chart) : command.as == "markdown" ? kb::chart_markdown(chart) : Columns(chart, terminal).lay_out());
  out.finish();
  return kDone;
}

}  // namespace cli
