#include "kb/note_table.h"

#include "kb/summary.h"
#include "kb/wording.h"

namespace kb {
namespace {

std::string joined(const std::vector<std::string>& parts, const char* by) {
  std::string out;
  for (const std::string& part : parts) out += (out.empty() ? "" : by) + part;
  return out;
}

std::string own_words(const Attachment& a, const std::vector<Evidence>& evidence) {
  std::vector<std::string> words;
  for (const Evidence& e : evidence)
    words.push_back(e.says + ": " + single_blanks(to_valid_utf8(std::string_view(a.base).substr(e.span.begin, e.span.end - e.span.begin))));
  return joined(words, "; ");
}

// "pipe-lagging (named; damaged, debris; bad; tested positive; within its years; keep-out)".
std::string in_brackets(const Finding& f, const Knowledge& k) {
  std::vector<std::string> parts{f.named ? "named" : "described"};
  if (f.conditions != 0) parts.push_back(joined(k.ids_of(f.conditions), ", "));
  if (!f.severity.empty()) parts.push_back(f.severity);
  if (!f.tested.empty()) parts.push_back("tested " + f.tested);
  if (f.period != "unknown") parts.push_back("period " + f.period);
  if (!f.other_readings.empty()) parts.push_back("or " + joined(f.other_readings, ", "));
  parts.push_back(f.advice);
  return f.id + " (" + joined(parts, "; ") + ")";
}

}  // namespace

std::vector<std::vector<std::string>> note_table(const Attachment& a, const Knowledge& k) {
  std::vector<std::vector<std::string>> out{{"line", "standing", "id", "title", "or", "certainty", "conditions", "severity", "tested", "period",
                                             "advice", "because", "words", "text"}};
  const auto title = [&](const std::string& id) {
    const auto place = k.titles.find(id);
    return place == k.titles.end() ? id : place->second;
  };
  for (const ObservationReading& o : a.reading.observations) {
    const std::string line = std::to_string(line_of(a, o.layout.span.begin));
    for (const Finding& f : o.findings)
      out.push_back({line, "attached", f.id, f.title, joined(f.other_readings, ", "), f.named ? "named" : "described", joined(k.ids_of(f.conditions), ", "),
                     f.severity, f.tested, f.period, f.advice, f.because, own_words(a, f.evidence), paragraph(f)});
    for (const LeftOut& l : o.left_out)
      out.push_back({line, "left out", l.id, title(l.id), "", "", "", "", "", "", "none", l.because, own_words(a, l.evidence), ""});
  }
  if (!a.placed.empty() && a.placed.back().ids.front() == k.wording.standard_id)
    out.push_back({"", "standard", k.wording.standard_id, a.placed.back().title, "", "", "", "", "", "", a.reading.advice, "", "", a.placed.back().paragraph});
  for (const Remark& r : a.reading.remarks)
    out.push_back({std::to_string(line_of(a, r.span.begin)), "remark", "", "", "", "", "", "", "", "", "", "", "", r.text});
  return out;
}

const std::vector<std::string>& row_columns() {
  static const std::vector<std::string> names{"letbe_advice", "letbe_materials", "letbe_reading", "letbe_left_out", "letbe_text", "letbe_remarks"};
  return names;
}

std::vector<std::string> row_cells(const Attachment& a, const Knowledge& k) {
  std::vector<std::string> ids, readings, left_out, texts, remarks;
  for (const ObservationReading& o : a.reading.observations) {
    for (const Finding& f : o.findings) {
      ids.push_back(f.id);
      readings.push_back(in_brackets(f, k));
    }
    for (const LeftOut& l : o.left_out) left_out.push_back(l.id + " (" + l.because + ")");
  }
  for (const PlacedBlock& b : a.placed) texts.push_back(b.title + ": " + b.paragraph);
  for (const Remark& r : a.reading.remarks) remarks.push_back(r.text);
  return {a.reading.advice, joined(ids, "; "), joined(readings, "; "), joined(left_out, "; "), joined(texts, "\n"), joined(remarks, " ")};
}

}  // namespace kb
