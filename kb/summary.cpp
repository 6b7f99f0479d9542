#include "kb/summary.h"

#include <algorithm>

#include "kb/limits.h"
#include "kb/wording.h"

namespace kb {
namespace {

constexpr std::size_t kLookToo = 8;

int rank(const Knowledge& k, const std::string& advice) {
  const auto place = std::find(k.advice_order.begin(), k.advice_order.end(), advice);
  return static_cast<int>(place - k.advice_order.begin());
}

int degree(const std::string& severity) { return severity == "bad" ? 2 : severity == "slight" ? 1 : 0; }

// "positive" tells more than "trace", and that more than "negative".
int weight(const std::string& tested) { return tested == "positive" ? 3 : tested == "trace" ? 2 : tested == "negative" ? 1 : 0; }

void add_once(std::vector<std::string>& list, const std::string& value) {
  if (!value.empty() && std::find(list.begin(), list.end(), value) == list.end()) list.push_back(value);
}

std::string label(const Knowledge& k, const std::string& advice) {
  const auto place = k.wording.labels.find(advice);
  return place == k.wording.labels.end() ? advice : place->second;
}

std::string joined(const std::vector<std::string>& parts, const char* by) {
  std::string out;
  for (const std::string& part : parts) out += (out.empty() ? "" : by) + part;
  return out;
}

// "air-path" as words.
std::string in_words(std::string id) {
  std::replace(id.begin(), id.end(), '-', ' ');
  return id;
}

class Summarizer {
 public:
  Summarizer(const Attachment& a, const Knowledge& k) : a_(a), k_(k) {}

  Summary run() {
    for (const ObservationReading& o : a_.reading.observations) {
      for (const Finding& f : o.findings) add(f, o);
      for (const LeftOut& l : o.left_out) add_once(mentioned_, l.id);
    }
    std::stable_sort(out_.items.begin(), out_.items.end(), [&](const SummaryItem& x, const SummaryItem& y) {
      const int rx = rank(k_, x.advice), ry = rank(k_, y.advice);
      return rx != ry ? rx > ry : degree(x.severity) > degree(y.severity);
    });
    out_.advice = a_.reading.advice;
    look_too();
    return std::move(out_);
  }

 private:
  void add(const Finding& f, const ObservationReading& o) {
    auto place = std::find_if(out_.items.begin(), out_.items.end(), [&](const SummaryItem& i) { return i.id == f.id; });
    if (place == out_.items.end()) {
      out_.items.emplace_back();
      place = out_.items.end() - 1;
      place->id = f.id;
      place->title = f.title;
    }
    SummaryItem& item = *place;
    item.named = item.named || f.named;
    item.hearsay = item.hearsay || f.hearsay;
    item.conditions |= f.conditions;
    if (degree(f.severity) > degree(item.severity)) item.severity = f.severity;
    if (weight(f.tested) > weight(item.tested)) item.tested = f.tested;
    if (item.advice.empty() || rank(k_, f.advice) > rank(k_, item.advice)) {
      item.advice = f.advice;
      item.because = f.because;
    }
    for (const std::string& id : f.other_readings) add_once(item.other_readings, id);
    Where seen = where_noted(a_.base, k_, o.layout, f);
    item.seen.push_back({std::move(seen.place), std::move(seen.extent), f.conditions, f.severity, f.tested, o.layout.span});
    add_once(mentioned_, f.id);
    for (const std::string& id : f.other_readings) add_once(mentioned_, id);
  }

  void look_too() {
    std::vector<std::pair<int, LookToo>> found;
    for (const SummaryItem& item : out_.items) {
      const Material* m = k_.material(item.id);
      if (m == nullptr) continue;
      for (const std::string& id : m->look_also) {
        const Material* other = k_.material(id);
        if (other == nullptr || std::find(mentioned_.begin(), mentioned_.end(), id) != mentioned_.end()) continue;
        const auto have = std::find_if(found.begin(), found.end(), [&](const auto& f) { return f.second.id == id; });
        if (have != found.end()) {
          ++have->first;
        } else {
          found.push_back({1, {id, other->title, item.title}});
        }
      }
    }
    std::stable_sort(found.begin(), found.end(), [](const auto& x, const auto& y) { return x.first > y.first; });
    for (auto& [votes, other] : found)
      if (out_.look_too.size() < kLookToo) out_.look_too.push_back(std::move(other));
  }

  const Attachment& a_;
  const Knowledge& k_;
  Summary out_;
  std::vector<std::string> mentioned_;
};

std::string where(const Sighting& s) { return s.place + (!s.place.empty() && !s.extent.empty() ? ", " : "") + s.extent; }

// "attic, about 200 sq ft: damaged (bad), debris; tested positive".
std::string sighting(const Sighting& s, const Knowledge& k) {
  std::vector<std::string> states;
  for (const std::string& id : k.ids_of(s.conditions)) states.push_back(in_words(id) + (id == "damaged" && !s.severity.empty() ? " (" + s.severity + ")" : ""));
  std::string said = joined(states, ", ");
  if (!s.tested.empty()) said += (said.empty() ? "tested " : "; tested ") + s.tested;
  if (said.empty()) said = "state not noted";
  const std::string at = where(s);
  return (at.empty() ? "place not noted" : at) + ": " + said;
}

// What is said of one material, line by line: a word and what follows it.
std::vector<std::pair<std::string, std::string>> lines_of(const SummaryItem& item, const Attachment& a, const Knowledge& k) {
  std::vector<std::pair<std::string, std::string>> out;
  for (const Sighting& s : item.seen) out.emplace_back("Line " + std::to_string(line_of(a, s.observation.begin)), sighting(s, k));
  if (item.hearsay) out.emplace_back("Told", "somebody's word only; ask for the papers");
  std::vector<std::string> others;
  for (const std::string& id : item.other_readings)
    if (const auto title = k.titles.find(id); title != k.titles.end()) others.push_back(title->second);
  if (!others.empty()) out.emplace_back("May also be", joined(others, "; "));
  out.emplace_back("Why", item.because);
  return out;
}

std::string first_line(const Summary& s, const Attachment& a, const Knowledge& k) {
  const std::size_t n = s.items.size();
  std::string out = n == 0 ? label(k, "none") : std::to_string(n) + (n == 1 ? " suspect material" : " suspect materials");
  if (a.reading.built) out += "; house of " + std::to_string(*a.reading.built);
  return out + ".";
}

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : to_valid_utf8(text)) {
    if (std::string_view("\\`*_[]<>#&|!~").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

constexpr const char* kLookTooHeading = "Not mentioned in the note, and often found with these";

}  // namespace

Summary summarize(const Attachment& attachment, const Knowledge& knowledge) { return Summarizer(attachment, knowledge).run(); }

std::size_t line_of(const Attachment& a, std::size_t offset) {
  const std::string_view before = std::string_view(a.base).substr(0, offset);
  return static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n')) + 1;
}

std::vector<std::vector<std::string>> summary_table(const Summary& s, const Attachment& a, const Knowledge& k) {
  std::vector<std::vector<std::string>> out{{"advice", "id", "title", "conditions", "severity", "tested", "places", "lines", "because"}};
  for (const SummaryItem& i : s.items) {
    std::vector<std::string> lines, places;
    for (const Sighting& seen : i.seen) {
      add_once(lines, std::to_string(line_of(a, seen.observation.begin)));
      add_once(places, where(seen));
    }
    out.push_back({i.advice, i.id, i.title, joined(k.ids_of(i.conditions), ", "), i.severity, i.tested, joined(places, "; "), joined(lines, ", "), i.because});
  }
  for (const LookToo& l : s.look_too) out.push_back({"look also", l.id, l.title, "", "", "", "", "", "with " + l.beside});
  return out;
}

std::string summary_markdown(const Summary& s, const Attachment& a, const Knowledge& k) {
  std::string out = "# Suspect materials in this note\n\n" + first_line(s, a, k) + "\n\n";
  for (const SummaryItem& item : s.items) {
    out += "## " + label(k, item.advice) + ": " + item.title + "\n\n";
    for (const auto& [word, text] : lines_of(item, a, k)) out += "- **" + word + "**: " + escaped(text) + "\n";
    out += "\n";
  }
  if (!s.look_too.empty()) {
    out += std::string("## ") + kLookTooHeading + "\n\n";
    for (const LookToo& l : s.look_too) out += "- " + l.title + " (with: " + l.beside + ")\n";
    out += "\n";
  }
  return out + kStandingLimits + "\n";
}

std::string summary_text(const Summary& s, const Attachment& a, const Knowledge& k) {
  std::string out = first_line(s, a, k) + "\n\n";
  for (const SummaryItem& item : s.items) {
    out += label(k, item.advice) + ": " + item.title + "\n";
    for (const auto& [word, text] : lines_of(item, a, k)) out += "  " + word + ": " + to_valid_utf8(text) + "\n";
    out += "\n";
  }
  if (!s.look_too.empty()) {
    out += std::string(kLookTooHeading) + ":\n";
    for (const LookToo& l : s.look_too) out += "  " + l.title + " (with: " + l.beside + ")\n";
    out += "\n";
  }
  return out + kStandingLimits + "\n";
}

}  // namespace kb
