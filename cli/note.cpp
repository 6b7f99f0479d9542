#include <sstream>
#include <string_view>

#include "cli/commands.h"
#include "cli/input.h"
#include "cli/output.h"
#include "cli/source.h"
#include "cli/terminal.h"
#include "kb/atomic_file.h"
#include "kb/blocks.h"
#include "kb/error.h"
#include "kb/json_text.h"
#include "kb/wording.h"

namespace cli {
namespace {

constexpr std::size_t kFlushAt = std::size_t{1} << 16;

void deliver(const std::string& text, const NoteCommand& command) {
  if (command.output.empty() || command.output == "-") {
    write_stdout(text);
  } else {
    kb::write_file_atomically(command.output, text);
  }
}

kb::AttachOptions attach_options(const NoteCommand& command) {
  kb::AttachOptions options;
  options.read.built = command.built;
  options.read.brief = command.brief;
  options.stamp = command.stamp;
  options.refresh = command.refresh;
  options.form = command.as == "markdown" ? kb::BlockForm::markdown : kb::BlockForm::text;
  return options;
}

// Why each block is there and each thing was left out, in the note's own words.
class Reasons {
 public:
  Reasons(const kb::Attachment& attachment, const kb::Knowledge& knowledge) : a_(attachment), k_(knowledge) {}

  std::string text() {
    for (const kb::ObservationReading& o : a_.reading.observations) {
      for (const kb::Finding& f : o.findings) finding(f, o);
      for (const kb::LeftOut& l : o.left_out) {
        out_ << place(o.layout.span) << "left out: " << l.id << " (" << l.because << ")" << words(l.evidence) << "\n";
      }
    }
    for (const kb::Remark& r : a_.reading.remarks) out_ << place(r.span) << "remark: " << r.text << "\n";
    return sanitize_for_terminal(out_.str());
  }

 private:
  void finding(const kb::Finding& f, const kb::ObservationReading& o) {
    out_ << place(o.layout.span) << "attached: " << f.id << (f.named ? " (named)" : " (described)") << words(f.evidence) << "\n";
    std::string conditions;
    for (const std::string& id : k_.ids_of(f.conditions)) conditions += (conditions.empty() ? "" : ", ") + id;
    out_ << "    advice " << f.advice << ": " << f.because;
    if (!conditions.empty()) out_ << "; conditions " << conditions;
    if (!f.severity.empty()) out_ << " (" << f.severity << ")";
    if (!f.tested.empty()) out_ << "; tested " << f.tested;
    if (f.period != "unknown" && f.year) out_ << "; " << *f.year << " is " << f.period << (f.period == "within" ? "" : " the end of") << " its common years";
    if (f.hearsay) out_ << "; somebody's word only, kept as said";
    out_ << "\n";
  }

  std::string words(const std::vector<kb::Evidence>& evidence) const {
    std::string out;
    for (const kb::Evidence& e : evidence) {
      std::string quoted = a_.base.substr(e.span.begin, e.span.end - e.span.begin);
      for (char& c : quoted)
        if (c == '\n' || c == '\r') c = ' ';
      out += "; " + e.says + " \"" + quoted + "\"";
    }
    return out;
  }

  std::string place(kb::Span span) const {
    const std::string_view before = std::string_view(a_.base).substr(0, span.begin);
    return "line " + std::to_string(std::count(before.begin(), before.end(), '\n') + 1) + ": ";
  }

  const kb::Attachment& a_;
  const kb::Knowledge& k_;
  std::ostringstream out_;
};

void to_standard_error(const std::string& text) { std::fputs(text.c_str(), stderr); }

int run_text(const NoteCommand& command, const std::string& note, const kb::Knowledge& knowledge) {
  if (command.strip) {
    deliver(kb::strip(note, knowledge), command);
    return kDone;
  }
  const kb::Attachment attachment = kb::attach(note, knowledge, attach_options(command));
  const bool json = command.as == "json" || command.as == "jsonl";
  if (command.why && !json) to_standard_error(Reasons(attachment, knowledge).text());
  if (json) {
    deliver(kb::note_json(attachment, knowledge, command.as == "json" ? kb::JsonForm::pretty : kb::JsonForm::one_line), command);
  } else {
    deliver(attachment.text, command);
  }
  return attachment.blocks > 0 ? kDone : kNothing;
}

// One note a line in, one JSON document a line out. A line that cannot be read is named and left out.
int run_lines(const NoteCommand& command, const std::string& lines, const kb::Knowledge& knowledge) {
  const kb::AttachOptions options = attach_options(command);
  const bool to_file = !command.output.empty() && command.output != "-";
  std::string out;
  int blocks = 0, bad = 0;
  std::size_t number = 0;
  for (std::size_t at = 0; at < lines.size();) {
    const std::size_t end = std::min(lines.find('\n', at), lines.size());
    const std::string_view line = std::string_view(lines).substr(at, end - at);
    at = end + 1;
    ++number;
    if (line.find_first_not_of(" \t\r") == std::string_view::npos) continue;
    try {
      const kb::Attachment attachment = kb::attach(kb::note_of_json_line(line, command.column), knowledge, options);
      blocks += attachment.blocks;
      out += kb::note_json(attachment, knowledge, kb::JsonForm::one_line);
    } catch (const kb::Error& e) {
      ++bad;
      complain((command.file.empty() ? std::string("-") : command.file) + ":" + std::to_string(number) + ": " + e.what());
    }
    if (!to_file && out.size() > kFlushAt) {
      if (!write_stdout(out)) return kDone;
      out.clear();
    }
  }
  deliver(out, command);
  return bad > 0 ? kBadInput : blocks > 0 ? kDone : kNothing;
}

}  // namespace

int run_note(const NoteCommand& command) {
  const bool by_ending = command.from.empty() && (command.file.ends_with(".jsonl") || command.file.ends_with(".ndjson"));
  const bool rows = command.from == "jsonl" || by_ending;
  // A row is held one at a time after reading; a single note is held whole with its words.
  const std::string note = read_input(command.file, rows ? kLargestNote * 16 : kLargestNote);
  const kb::Database db = open_database(command.db);
  const kb::Knowledge knowledge = kb::load_knowledge(db);
  if (rows && (command.strip || command.as == "text" || command.as == "markdown" || command.as == "json")) {
    complain("JSON lines are answered with JSON lines: leave --as and --strip out, or give --as jsonl");
    return kWrongUse;
  }
  return rows ? run_lines(command, note, knowledge) : run_text(command, note, knowledge);
}

}  // namespace cli
