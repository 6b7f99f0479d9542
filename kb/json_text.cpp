#include "kb/json_text.h"

#include <nlohmann/json.hpp>

#include "kb/error.h"
#include "kb/wording.h"

namespace kb {
namespace {

using json = nlohmann::ordered_json;

constexpr int kSchema = 1;

std::string dumped(const json& value, JsonForm form) {
  return value.dump(form == JsonForm::pretty ? 2 : -1, ' ', false, json::error_handler_t::replace) + "\n";
}

json or_null(const std::string& text) { return text.empty() ? json(nullptr) : json(text); }

json result_json(const FindResult& r) {
  return {{"id", r.article.id}, {"kind", r.article.kind}, {"title", r.article.title}, {"score", r.score},
          {"matched", r.matched}, {"years", or_null(r.years)}, {"friability", or_null(r.friability)},
          {"caution", r.caution}, {"why", r.parts}};
}

// Spans of a reading as spans of the note that was given.
class Spans {
 public:
  explicit Spans(const Attachment& a) : a_(a) {}
  // An end is mapped by its last byte: a block may stand right behind it.
  json operator()(Span s) const {
    const std::size_t begin = a_.in_note(s.begin);
    return json::array({begin, s.end > s.begin ? a_.in_note(s.end - 1) + 1 : begin});
  }

 private:
  const Attachment& a_;
};

json evidence_json(const std::vector<Evidence>& evidence, const Spans& spans) {
  json out = json::array();
  for (const Evidence& e : evidence) out.push_back({{"span", spans(e.span)}, {"says", e.says}});
  return out;
}

json finding_json(const Finding& f, const Knowledge& k, const Spans& spans) {
  json attached = json::array();
  for (const Attached& a : f.attached) attached.push_back({{"id", a.id}, {"text", a.text}});
  return {{"id", f.id},
          {"title", f.title},
          {"or", f.other_readings},
          {"certainty", f.named ? "named" : "described"},
          {"conditions", k.ids_of(f.conditions)},
          {"severity", or_null(f.severity)},
          {"tested", or_null(f.tested)},
          {"period", f.period},
          {"advice", f.advice},
          {"because", f.because},
          {"hearsay", f.hearsay},
          {"evidence", evidence_json(f.evidence, spans)},
          {"attached", std::move(attached)}};
}

}  // namespace

std::string find_json(const FindAnswer& answer) {
  json corrections = json::array(), results = json::array(), nearest = json::array();
  for (const Correction& c : answer.corrections) corrections.push_back({{"from", c.from}, {"to", c.to}});
  for (const FindResult& r : answer.results) results.push_back(result_json(r));
  for (const FindResult& r : answer.nearest) nearest.push_back(result_json(r));
  const json out = {{"schema", kSchema},
                    {"query", answer.query},
                    {"understood",
                     {{"year", answer.year ? json(*answer.year) : json(nullptr)},
                      {"corrections", corrections},
                      {"words", answer.words},
                      {"asked", answer.words_asked}}},
                    {"results", results},
                    {"nearest", nearest}};
  return dumped(out, JsonForm::pretty);
}

std::string note_json(const Attachment& a, const Knowledge& k, JsonForm form) {
  const Spans spans(a);
  json observations = json::array(), remarks = json::array();
  for (const ObservationReading& o : a.reading.observations) {
    json materials = json::array(), left_out = json::array();
    for (const Finding& f : o.findings) materials.push_back(finding_json(f, k, spans));
    for (const LeftOut& l : o.left_out)
      left_out.push_back({{"id", l.id}, {"because", l.because}, {"evidence", evidence_json(l.evidence, spans)}});
    const Span text = o.layout.span;
    observations.push_back({{"text", a.base.substr(text.begin, text.end - text.begin)},
                            {"span", spans(text)},
                            {"materials", std::move(materials)},
                            {"left_out", std::move(left_out)},
                            {"advice", o.advice}});
  }
  for (const Remark& r : a.reading.remarks) remarks.push_back({{"span", spans(r.span)}, {"text", r.text}});
  json out = {{"schema", kSchema}, {"observations", std::move(observations)}, {"remarks", std::move(remarks)},
              {"advice", a.reading.advice}, {"built", a.reading.built ? json(*a.reading.built) : json(nullptr)}};
  // The paragraph that stands once a note: the basis, the limits and who acts next.
  out["standard"] = a.blocks > 0 ? json(a.placed.back().paragraph) : json(nullptr);
  return dumped(out, form);
}

std::string article_json(const Article& article) {
  json sections = json::array();
  for (const Section& s : article.sections) sections.push_back({{"level", s.level}, {"heading", s.heading}, {"markdown", s.body}});
  json out = {{"schema", kSchema}, {"id", article.id}, {"kind", article.kind}, {"title", article.title}};
  out["front"] = json::parse(article.front);
  out["sections"] = std::move(sections);
  return dumped(out, JsonForm::pretty);
}

std::string list_json(const std::vector<ArticleInfo>& written, const std::vector<ArticleInfo>& unwritten) {
  const auto rows = [](const std::vector<ArticleInfo>& list) {
    json out = json::array();
    for (const ArticleInfo& a : list) out.push_back({{"id", a.id}, {"kind", a.kind}, {"title", a.title}});
    return out;
  };
  return dumped({{"schema", kSchema}, {"articles", rows(written)}, {"unwritten", rows(unwritten)}}, JsonForm::pretty);
}

std::string about_json(const About& about) {
  return dumped({{"schema", kSchema}, {"version", about.version}, {"corpus", about.corpus_version},
                 {"database", {{"source", about.database}, {"schema_version", about.schema_version}, {"sqlite", about.sqlite_version}}},
                 {"articles", about.articles}, {"planned", about.planned}, {"limits", about.limits}},
                JsonForm::pretty);
}

std::string advice_json(const Knowledge& k) {
  json rows = json::array();
  for (const AdviceRow& r : k.advice_rows) {
    json when = json::object();
    if (r.any != 0) when["any"] = k.ids_of(r.any);
    if (r.all != 0) when["all"] = k.ids_of(r.all);
    if (r.without != 0) when["without"] = k.ids_of(r.without);
    if (!r.friability.empty()) when["friability"] = r.friability;
    if (!r.severity.empty()) when["severity"] = r.severity;
    if (!r.tested.empty()) when["tested"] = r.tested;
    if (!r.materials.empty()) when["materials"] = r.materials;
    if (!r.unstated.empty()) when["unstated"] = r.unstated;
    if (r.stated) when["stated"] = *r.stated;
    rows.push_back({{"advice", r.advice}, {"because", r.because}, {"when", std::move(when)}});
  }
  return dumped({{"schema", kSchema}, {"rows", std::move(rows)}}, JsonForm::pretty);
}

std::string note_of_json_line(std::string_view line, const std::string& column) {
  const json value = json::parse(line, nullptr, false);
  if (value.is_discarded()) throw Error("this line is not JSON; give one JSON text or object a line");
  if (value.is_string()) return value.get<std::string>();
  if (!value.is_object()) throw Error("this line is neither a JSON text nor an object");
  const auto place = value.find(column);
  if (place == value.end() || !place->is_string()) throw Error("this line has no text member '" + column + "'; name the right one with --column");
  return place->get<std::string>();
}

}  // namespace kb
