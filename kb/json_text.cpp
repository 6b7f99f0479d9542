#include "kb/json_text.h"

#include <nlohmann/json.hpp>

#include "kb/error.h"
#include "kb/json_writer.h"
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

// The document of a note, written straight: a row of a million notes is mostly this.
class NoteWriter {
 public:
  NoteWriter(const Attachment& a, const Knowledge& k, std::string& out) : a_(a), k_(k), w_(out) {}

  void document(std::string_view row) {
    w_.open('{').key("schema").number(kSchema).key("observations").open('[');
    for (const ObservationReading& o : a_.reading.observations) observation(o);
    w_.close(']').key("remarks").open('[');
    for (const Remark& r : a_.reading.remarks) {
      w_.open('{').key("span");
      span(r.span);
      w_.key("text").text(r.text).close('}');
    }
    w_.close(']').key("advice").text(a_.reading.advice).key("built");
    built();
    // The paragraph that stands once a note: the basis, the limits and who acts next.
    w_.key("standard").text_or_null(a_.blocks > 0 ? std::string_view(a_.placed.back().paragraph) : std::string_view());
    if (!row.empty()) w_.key("row").raw(row);
    w_.close('}');
  }

  void built() { a_.reading.built ? w_.number(*a_.reading.built) : w_.raw("null"); }

  // A span of the note that was given. An end is mapped by its last byte: a block may stand right behind it.
  void span(Span s) {
    const std::size_t begin = a_.in_note(s.begin);
    w_.open('[').number(static_cast<long long>(begin));
    w_.number(static_cast<long long>(s.end > s.begin ? a_.in_note(s.end - 1) + 1 : begin)).close(']');
  }

  void texts(const std::vector<std::string>& list) {
    w_.open('[');
    for (const std::string& t : list) w_.text(t);
    w_.close(']');
  }

  JsonWriter& writer() { return w_; }

 private:
  void observation(const ObservationReading& o) {
    const Span text = o.layout.span;
    w_.open('{').key("text").text(std::string_view(a_.base).substr(text.begin, text.end - text.begin)).key("span");
    span(text);
    w_.key("materials").open('[');
    for (const Finding& f : o.findings) finding(f);
    w_.close(']').key("left_out").open('[');
    for (const LeftOut& l : o.left_out) {
      w_.open('{').key("id").text(l.id).key("because").text(l.because);
      evidence(l.evidence);
      w_.close('}');
    }
    w_.close(']').key("advice").text(o.advice).close('}');
  }

  void evidence(const std::vector<Evidence>& list) {
    w_.key("evidence").open('[');
    for (const Evidence& e : list) {
      w_.open('{').key("span");
      span(e.span);
      w_.key("says").text(e.says).close('}');
    }
    w_.close(']');
  }

  void finding(const Finding& f) {
    w_.open('{').key("id").text(f.id).key("title").text(f.title).key("or");
    texts(f.other_readings);
    w_.key("certainty").text(f.named ? "named" : "described").key("conditions");
    texts(k_.ids_of(f.conditions));
    w_.key("severity").text_or_null(f.severity).key("tested").text_or_null(f.tested).key("period").text(f.period);
    w_.key("advice").text(f.advice).key("because").text(f.because).key("hearsay").truth(f.hearsay);
    evidence(f.evidence);
    w_.key("attached").open('[');
    for (const Attached& a : f.attached) w_.open('{').key("id").text(a.id).key("text").text(a.text).close('}');
    w_.close(']').close('}');
  }

  const Attachment& a_;
  const Knowledge& k_;
  JsonWriter w_;
};

// The same with two blanks a level; rare enough to be read once more.
std::string in_form(std::string line, JsonForm form) {
  if (form == JsonForm::pretty) return dumped(json::parse(line), form);
  line += '\n';
  return line;
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
  std::string out;
  NoteWriter(a, k, out).document({});
  return in_form(std::move(out), form);
}

std::string article_json(const Article& article) {
  json sections = json::array();
  for (const Section& s : article.sections) sections.push_back({{"level", s.level}, {"heading", s.heading}, {"markdown", s.body}});
  json out = {{"schema", kSchema}, {"id", article.id}, {"kind", article.kind}, {"title", article.title}};
  out["front"] = json::parse(article.front);
  out["sections"] = std::move(sections);
  out["drawing"] = or_null(article.drawing);
  return dumped(out, JsonForm::pretty);
}

std::string list_json(const std::vector<ArticleInfo>& articles) {
  json rows = json::array();
  for (const ArticleInfo& a : articles) rows.push_back({{"id", a.id}, {"kind", a.kind}, {"title", a.title}});
  // Every page is written; "unwritten" stays for programs that read it.
  return dumped({{"schema", kSchema}, {"articles", std::move(rows)}, {"unwritten", json::array()}}, JsonForm::pretty);
}

std::string about_json(const About& about) {
  // "planned" stays for programs that read it: what is known is what is written.
  return dumped({{"schema", kSchema}, {"version", about.version}, {"corpus", about.corpus_version},
                 {"database", {{"source", about.database}, {"schema_version", about.schema_version}, {"sqlite", about.sqlite_version}}},
                 {"articles", about.articles}, {"planned", about.articles}, {"limits", about.limits}},
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

JsonRow row_of_json_line(std::string_view line, const std::string& column, const std::string& built_column) {
  json value = json::parse(line, nullptr, false);
  if (value.is_discarded()) throw Error("this line is not JSON; give one JSON text or object a line");
  if (value.is_string()) return {value.get<std::string>(), {}, {}};
  if (!value.is_object()) throw Error("this line is neither a JSON text nor an object");
  const auto place = value.find(column);
  if (place == value.end() || !place->is_string()) throw Error("this line has no text member '" + column + "'; name the right one with --column");
  JsonRow row;
  row.note = place->get<std::string>();
  if (const auto built = value.find(built_column); built != value.end()) row.built = built->is_string() ? built->get<std::string>() : built->is_number_integer() ? built->dump() : "";
  value.erase(column);
  row.others = value.dump(-1, ' ', false, json::error_handler_t::replace);
  return row;
}

std::string row_json(const Attachment& a, const Knowledge& k, const std::string& others) {
  std::string out;
  NoteWriter(a, k, out).document(others == "{}" ? std::string_view() : std::string_view(others));
  return in_form(std::move(out), JsonForm::one_line);
}

std::string json_of(const std::vector<std::pair<std::string, std::string>>& members) {
  json out = json::object();
  for (const auto& [name, value] : members) out[name] = value;
  return out.dump(-1, ' ', false, json::error_handler_t::replace);
}

std::string summary_json(const Summary& summary, const Attachment& a, const Knowledge& k, JsonForm form) {
  std::string out;
  NoteWriter n(a, k, out);
  JsonWriter& w = n.writer();
  w.open('{').key("schema").number(kSchema).key("summary").open('[');
  for (const SummaryItem& i : summary.items) {
    w.open('{').key("id").text(i.id).key("title").text(i.title).key("or");
    n.texts(i.other_readings);
    w.key("certainty").text(i.named ? "named" : "described").key("conditions");
    n.texts(k.ids_of(i.conditions));
    w.key("severity").text_or_null(i.severity).key("tested").text_or_null(i.tested).key("hearsay").truth(i.hearsay);
    w.key("advice").text(i.advice).key("because").text(i.because).key("seen").open('[');
    for (const Sighting& s : i.seen) {
      w.open('{').key("place").text_or_null(s.place).key("extent").text_or_null(s.extent).key("conditions");
      n.texts(k.ids_of(s.conditions));
      w.key("severity").text_or_null(s.severity).key("tested").text_or_null(s.tested).key("span");
      n.span(s.observation);
      w.close('}');
    }
    w.close(']').close('}');
  }
  w.close(']').key("look_too").open('[');
  for (const LookToo& l : summary.look_too) w.open('{').key("id").text(l.id).key("title").text(l.title).key("beside").text(l.beside).close('}');
  w.close(']').key("advice").text(summary.advice).key("built");
  n.built();
  w.close('}');
  return in_form(std::move(out), form);
}

}  // namespace kb
