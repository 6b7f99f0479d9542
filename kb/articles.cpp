#include "kb/articles.h"

#include <algorithm>

#include "kb/drawing.h"
#include "kb/text.h"

namespace kb {
namespace {

constexpr int kNearLimit = 4;

bool meant_for(const std::string& heading, Reader reader) {
  switch (reader) {
    case Reader::everyone: return true;
    case Reader::report: return heading == "Report wording";
    case Reader::homeowner:
      return heading == "For the homeowner" || heading == "Do today" || heading == "Do not" ||
             heading == "What it may mean" || heading == "Who to call" || heading == "What happens next";
    case Reader::inspector: return heading != "For the homeowner";
  }
  return true;
}

// Does the id hold every part of `wanted`: "duct-wrap" in "duct-paper-wrap"?
bool has_parts(const std::string& id, const std::string& wanted) {
  bool any = false;
  for (std::size_t at = 0; at < wanted.size();) {
    const std::size_t end = std::min(wanted.find('-', at), wanted.size());
    const std::string part = wanted.substr(at, end - at);
    if (part.size() >= 3) {
      any = true;
      if (("-" + id + "-").find("-" + part + "-") == std::string::npos) return false;
    }
    at = end + 1;
  }
  return any;
}

// Sentences end at a full stop before a blank; enough for our own reviewed wording.
std::vector<std::string> sentences(std::string_view text) {
  std::vector<std::string> out;
  std::string current;
  for (std::size_t i = 0; i < text.size(); ++i) {
    current += text[i] == '\n' ? ' ' : text[i];
    if (text[i] == '.' && (i + 1 == text.size() || text[i + 1] == ' ' || text[i + 1] == '\n')) {
      out.push_back(current);
      current.clear();
      while (i + 1 < text.size() && (text[i + 1] == ' ' || text[i + 1] == '\n')) ++i;
    }
  }
  if (!current.empty()) out.push_back(current);
  return out;
}

std::string section_body(const Article& a, std::string_view heading) {
  for (const Section& s : a.sections)
    if (s.level == 2 && s.heading == heading) return s.body;
  return {};
}

std::string first_item(std::string_view body) {
  const std::size_t end = body.find('\n');
  std::string_view line = body.substr(0, end);
  while (!line.empty() && std::string_view("-*0123456789. ").find(line.front()) != std::string_view::npos) line.remove_prefix(1);
  return std::string(line);
}

}  // namespace

std::vector<ArticleInfo> list_articles(const Database& db, std::string_view kind) {
  Statement s = db.query("SELECT key, id, kind, title FROM article WHERE ?1='' OR kind=?1 ORDER BY key");
  s.bind(1, kind);
  std::vector<ArticleInfo> out;
  while (s.step()) out.push_back({s.integer(0), s.text(1), s.text(2), s.text(3)});
  return out;
}

std::optional<Article> load_article(const Database& db, std::string_view id) {
  Statement s = db.query("SELECT key, id, kind, title, front FROM article WHERE id=?1");
  s.bind(1, id);
  if (!s.step()) return std::nullopt;
  Article a;
  a.key = s.integer(0);
  a.id = s.text(1);
  a.kind = s.text(2);
  a.title = s.text(3);
  a.front = s.text(4);
  Statement rows = db.query("SELECT level, heading, body FROM section WHERE article=?1 ORDER BY seq");
  rows.bind(1, a.key);
  while (rows.step()) a.sections.push_back({static_cast<int>(rows.integer(0)), rows.text(1), rows.text(2)});
  a.drawing = load_drawing(db, id).value_or(std::string());
  return a;
}

std::optional<std::string> load_drawing(const Database& db, std::string_view id) {
  Statement s = db.query("SELECT svg FROM drawing JOIN article ON key=article WHERE id=?1");
  s.bind(1, id);
  if (!s.step()) return std::nullopt;
  std::string svg = s.text(0);
  if (!text_of_drawing(svg)) return std::nullopt;
  return svg;
}

std::vector<std::string> nearest_ids(const Database& db, std::string_view typed, std::size_t most) {
  std::string wanted = fold(typed);
  std::replace_if(wanted.begin(), wanted.end(), [](char c) { return c == ' ' || c == '_'; }, '-');
  std::vector<std::pair<int, std::string>> ranked;
  for (const ArticleInfo& a : list_articles(db)) {
    const int distance = edit_distance(wanted, a.id, kNearLimit);
    const bool part = has_parts(a.id, wanted) ||
                      (wanted.size() >= 4 && (a.id.find(wanted) != std::string::npos || wanted.find(a.id) != std::string::npos));
    if (distance <= kNearLimit || part) ranked.emplace_back(part ? std::min(distance, 2) : distance, a.id);
  }
  std::sort(ranked.begin(), ranked.end());
  std::vector<std::string> out;
  for (const auto& [distance, id] : ranked)
    if (out.size() < most) out.push_back(id);
  return out;
}

std::string to_markdown(const Article& a, Reader reader) {
  const AroundDrawing parts = to_markdown_around_drawing(a, reader);
  return parts.above + parts.below;
}

AroundDrawing to_markdown_around_drawing(const Article& a, Reader reader) {
  AroundDrawing out;
  bool shown = false;
  bool drawn = false;  // Inside of the section that the drawing closes.
  for (const Section& s : a.sections) {
    if (s.level == 2) {
      out.shown = out.shown || drawn;
      shown = meant_for(s.heading, reader);
      drawn = shown && s.heading == kDrawnSection && !a.drawing.empty();
    }
    if (!shown) continue;
    std::string& part = out.shown ? out.below : out.above;
    part += std::string(static_cast<std::size_t>(s.level), '#') + " " + s.heading + "\n\n";
    if (!s.body.empty()) part += s.body + "\n\n";
  }
  out.shown = out.shown || drawn;
  if (!out.above.empty()) out.above = "# " + a.title + "\n\n" + out.above;
  return out;
}

std::string one_line_caution(const Article& a) {
  if (a.kind == "homeowner") return first_item(section_body(a, "Do today"));
  const std::string report = section_body(a, "Report wording");
  const std::vector<std::string> parts = sentences(report.empty() ? section_body(a, "In short") : report);
  if (parts.empty()) return {};
  return a.kind == "material" ? parts.back() : parts.front();
}

}  // namespace kb
