#include "kb/chart.h"

#include <algorithm>
#include <cstdlib>
#include <tuple>

#include "kb/articles.h"
#include "kb/html.h"
#include "kb/limits.h"
#include "kb/text.h"

namespace kb {
namespace {

constexpr int kDecade = 10;

const std::string& words(const Chart& chart, const char* key) {
  static const std::string none;
  const auto place = chart.words.chart.find(key);
  return place == chart.words.chart.end() ? none : place->second;
}

std::string years_of(const Usage& m) { return std::to_string(m.from) + "–" + std::to_string(m.to); }

// Draws a chart from top to bottom; lengths are in user units.
class Picture {
 public:
  explicit Picture(const Chart& chart) : chart_(chart) {}

  std::string draw() {
    y_ = kTop;
    for (const ChartGroup& g : chart_.groups) group(g);
    const int bottom = y_ + 8;
    const std::string grid = scale(bottom);
    std::string house;
    if (chart_.built) {
      house = line(x(*chart_.built), kTop - 28, x(*chart_.built), bottom, "house") +
              text(x(*chart_.built), kTop - 34, "middle", "bold", house_line(chart_));
    }
    const std::string legend = legend_at(bottom + 40);
    const std::string height = std::to_string(bottom + 100);
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"letbe-chart\" role=\"img\" aria-labelledby=\"letbe-chart-title letbe-chart-desc\" viewBox=\"0 0 " +
           std::to_string(kWidth) + " " + height + "\" width=\"" + std::to_string(kWidth) + "\" height=\"" + height + "\">\n<title id=\"letbe-chart-title\">" +
           escape_html(words(chart_, "title")) + "</title>\n<desc id=\"letbe-chart-desc\">" + escape_html(description()) + "</desc>\n<style>" + kStyle +
           "</style>\n" + text(kMargin, 26, "start", "head", words(chart_, "title")) + grid + rows_ + house + legend + "</svg>\n";
  }

 private:
  static constexpr int kWidth = 1000, kMargin = 16, kLabels = 340, kYears = 70, kTop = 96, kRow = 20;
  // The background and the color are only asked for where the picture stands alone.
  static constexpr const char* kStyle =
      "svg.letbe-chart{font:13px system-ui,sans-serif;max-width:100%;height:auto}svg.letbe-chart:root{color:#111;background:#fff}"
      ".letbe-chart text{fill:currentColor}.letbe-chart .head{font-size:20px;font-weight:bold}.letbe-chart .bold{font-weight:bold}"
      ".letbe-chart .small{font-size:12px}.letbe-chart .grid{stroke:currentColor;stroke-opacity:.15}.letbe-chart .strong{stroke-opacity:.35}"
      ".letbe-chart .bar{fill:currentColor;fill-opacity:.6}.letbe-chart .soft{fill:none;stroke:currentColor;stroke-dasharray:3 3}"
      ".letbe-chart .house{stroke:currentColor;stroke-width:3}"
      "@media(prefers-color-scheme:dark){svg.letbe-chart:root{color:#eee;background:#161616}}"
      "@media print{svg.letbe-chart:root{color:#000;background:none}}";

  int x(int year) const { return kMargin + kLabels + (year - chart_.first) * (kWidth - 2 * kMargin - kLabels - kYears) / std::max(1, chart_.last - chart_.first); }

  static std::string text(int x, int y, const char* anchor, const char* kind, const std::string& words) {
    return "<text x=\"" + std::to_string(x) + "\" y=\"" + std::to_string(y) + "\" text-anchor=\"" + anchor + "\" class=\"" + kind + "\">" + escape_html(words) + "</text>\n";
  }
  static std::string line(int x1, int y1, int x2, int y2, const char* kind) {
    return "<line x1=\"" + std::to_string(x1) + "\" y1=\"" + std::to_string(y1) + "\" x2=\"" + std::to_string(x2) + "\" y2=\"" + std::to_string(y2) + "\" class=\"" + kind + "\"/>\n";
  }
  static std::string box(int x, int y, int width, const char* kind) {
    return "<rect x=\"" + std::to_string(x) + "\" y=\"" + std::to_string(y) + "\" width=\"" + std::to_string(width) + "\" height=\"12\" class=\"" + kind + "\"/>\n";
  }

  // A year that the house's line would run through is left out at the top.
  std::string scale(int bottom) const {
    const int span = chart_.last - chart_.first;
    const int step = span <= 200 ? kDecade : 5 * kDecade, labeled = span <= 200 ? 2 * kDecade : 10 * kDecade;
    std::string out;
    for (int year = (chart_.first + step - 1) / step * step; year <= chart_.last; year += step) {
      const bool strong = year % labeled == 0;
      out += line(x(year), kTop - 6, x(year), bottom, strong ? "grid strong" : "grid");
      if (!strong) continue;
      if (!chart_.built || std::abs(x(*chart_.built) - x(year)) > 22) out += text(x(year), kTop - 12, "middle", "small", std::to_string(year));
      out += text(x(year), bottom + 16, "middle", "small", std::to_string(year));
    }
    return out;
  }

  void group(const ChartGroup& g) {
    y_ += kRow + 4;
    rows_ += text(kMargin, y_ - 6, "start", "bold", g.title);
    for (const Usage& m : g.materials) {
      rows_ += text(kMargin + 8, y_ + 11, "start", "row", m.title) + box(x(m.from), y_, std::max(2, x(m.to) - x(m.from)), "bar");
      const int end = m.soft ? std::min(m.to + chart_.soft_years, chart_.last) : m.to;
      if (end > m.to) rows_ += box(x(m.to), y_, x(end) - x(m.to), "soft");
      // Years stand behind the bar; where the house's line is, before it.
      rows_ += years_label(m, end);
      y_ += kRow;
    }
  }

  std::string years_label(const Usage& m, int end) const {
    const auto free = [&](int from) { return !chart_.built || x(*chart_.built) + 3 < from || x(*chart_.built) - 3 > from + kYears; };
    const int behind = x(end) + 6, before = x(m.from) - 6 - kYears;
    if (!free(behind) && free(before) && before > x(chart_.first)) return text(x(m.from) - 6, y_ + 11, "end", "small", years_of(m));
    return text(behind, y_ + 11, "start", "small", years_of(m));
  }

  std::string legend_at(int y) const {
    return box(kMargin, y, 40, "bar") + text(kMargin + 48, y + 11, "start", "row", words(chart_, "bar")) + box(kMargin + 240, y, 40, "soft") +
           text(kMargin + 288, y + 11, "start", "row", words(chart_, "soft")) + text(kMargin, y + 32, "start", "row", words(chart_, "says")) +
           text(kMargin, y + 50, "start", "row", kStandingLimits);
  }

  std::string description() const {
    std::string out = "Bars from " + std::to_string(chart_.first) + " to " + std::to_string(chart_.last) + ", grouped by system.";
    if (chart_.built) out += " A line marks " + house_line(chart_) + ".";
    for (const ChartGroup& g : chart_.groups) {
      out += " " + g.title + ":";
      for (const Usage& m : g.materials)
        out += (&m == &g.materials.front() ? " " : "; ") + m.title + " " + std::to_string(m.from) + " to " + std::to_string(m.to) + (m.soft ? ", soft end" : "");
      out += ".";
    }
    return out + " " + words(chart_, "says");
  }

  const Chart& chart_;
  std::string rows_;
  int y_ = 0;
};

}  // namespace

std::string house_line(const Chart& chart) { return chart.built ? filled(words(chart, "house"), "{year}", std::to_string(*chart.built)) : std::string(); }

Chart make_chart(const Database& db, const std::string& system, std::optional<int> built) {
  Chart out;
  out.words = load_walk_words(db);
  out.soft_years = out.words.near_years;
  out.built = built;
  const std::vector<Usage> all = load_usage(db);
  for (const ArticleInfo& s : list_articles(db, "system")) {
    if (!system.empty() && s.id != system) continue;
    ChartGroup group{s.id, s.title, {}};
    for (const Usage& u : all) {
      const bool here = system.empty() ? !u.systems.empty() && u.systems.front() == s.id : std::find(u.systems.begin(), u.systems.end(), s.id) != u.systems.end();
      if (here) group.materials.push_back(u);
    }
    std::sort(group.materials.begin(), group.materials.end(), [](const Usage& a, const Usage& b) { return std::tie(a.from, a.to, a.id) < std::tie(b.from, b.to, b.id); });
    if (!group.materials.empty()) out.groups.push_back(std::move(group));
  }
  if (out.groups.empty()) return out;
  out.first = out.last = built.value_or(out.groups.front().materials.front().from);
  for (const ChartGroup& g : out.groups)
    for (const Usage& m : g.materials) {
      out.first = std::min(out.first, m.from);
      out.last = std::max(out.last, m.soft ? m.to + out.soft_years : m.to);
    }
  out.first -= out.first % kDecade;
  out.last += (kDecade - out.last % kDecade) % kDecade;
  return out;
}

std::string chart_svg(const Chart& chart) { return Picture(chart).draw(); }

std::string chart_markdown(const Chart& chart) {
  std::string out = "# " + words(chart, "title") + "\n\n" + words(chart, "says") + "\n\n";
  for (const ChartGroup& g : chart.groups) {
    out += "## " + g.title + "\n\n| Material | From | To |" + (chart.built ? " " + std::to_string(*chart.built) + " |" : std::string()) + "\n| --- | --- | --- |" +
           (chart.built ? " --- |" : "") + "\n";
    for (const Usage& m : g.materials) {
      out += "| " + m.title + " | " + std::to_string(m.from) + " | " + std::to_string(m.to) + (m.soft ? ", soft" : "") + " |";
      if (chart.built) out += " " + chart.words.periods.at(fit_of(m, *chart.built, chart.words.near_years)).label + " |";
      out += "\n";
    }
    out += "\n";
  }
  return out + kStandingLimits + "\n";
}

}  // namespace kb
