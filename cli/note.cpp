#include "cli/commands.h"
#include "cli/input.h"
#include "cli/note_rows.h"
#include "cli/output.h"
#include "cli/reasons.h"
#include "cli/source.h"
#include "kb/blocks.h"
#include "kb/csv.h"
#include "kb/html.h"
#include "kb/json_text.h"
#include "kb/note_html.h"
#include "kb/note_table.h"
#include "kb/summary.h"

namespace cli {
namespace {

kb::AttachOptions attach_options(const NoteCommand& command) {
  kb::AttachOptions options;
  options.read.built = command.built;
  options.read.brief = command.brief;
  options.read.plain = command.reader == "homeowner";
  options.stamp = command.stamp;
  options.refresh = command.refresh;
  options.form = command.as == "markdown" ? kb::BlockForm::markdown : kb::BlockForm::text;
  return options;
}

std::string table(const std::vector<std::vector<std::string>>& rows) {
  std::string out;
  for (const std::vector<std::string>& row : rows) out += kb::csv_row(row);
  return out;
}

std::string summarized(const kb::Attachment& attachment, const kb::Knowledge& knowledge, const std::string& as) {
  const kb::Summary summary = kb::summarize(attachment, knowledge);
  if (as == "json" || as == "jsonl") return kb::summary_json(summary, attachment, knowledge, as == "json" ? kb::JsonForm::pretty : kb::JsonForm::one_line);
  if (as == "csv") return table(kb::summary_table(summary, attachment, knowledge));
  if (as == "markdown") return kb::summary_markdown(summary, attachment, knowledge);
  if (as == "html") return kb::html_page("Suspect materials in this note", kb::markdown_to_html(kb::summary_markdown(summary, attachment, knowledge)), {}, knowledge.corpus_version);
  return kb::summary_text(summary, attachment, knowledge);
}

std::string answer(const kb::Attachment& attachment, const kb::Knowledge& knowledge, const NoteCommand& command) {
  if (command.summary) return summarized(attachment, knowledge, command.as);
  if (command.as == "json") return kb::note_json(attachment, knowledge, kb::JsonForm::pretty);
  if (command.as == "jsonl") return kb::note_json(attachment, knowledge, kb::JsonForm::one_line);
  if (command.as == "html") return kb::note_html(attachment, knowledge, command.stamp);
  if (command.as == "csv") return table(kb::note_table(attachment, knowledge));
  return attachment.text;
}

int run_text(const NoteCommand& command, const kb::Knowledge& knowledge) {
  const bool plain_text = !command.summary && !command.why && (command.as.empty() || command.as == "text" || command.as == "markdown");
  const std::string note = read_input(command.file, plain_text || command.strip ? kLargestNote : kLargestReading);
  OutputFile out(command.output);
  if (command.strip) {
    out.add(kb::strip(note, knowledge));
    out.finish();
    return kDone;
  }
  if (plain_text) {
    const bool any = kb::attach_by_parts(note, knowledge, attach_options(command), [&](std::string_view part) { out.add(part); });
    out.finish();
    return any ? kDone : kNothing;
  }
  const kb::Attachment attachment = kb::attach(note, knowledge, attach_options(command));
  const bool json = command.as == "json" || command.as == "jsonl";
  if (command.why && !json) to_standard_error(reasons(attachment, knowledge));
  out.add(answer(attachment, knowledge, command));
  out.finish();
  return attachment.blocks > 0 ? kDone : kNothing;
}

}  // namespace

int run_note(const NoteCommand& command) {
  const RowForm rows = row_form(command);
  if (rows != RowForm::none)
    if (const std::string wrong = wrong_for_rows(command); !wrong.empty()) {
      complain(wrong);
      return kWrongUse;
    }
  const kb::Database db = open_database(command.db);
  const kb::Knowledge knowledge = kb::load_knowledge(db);
  return rows == RowForm::none ? run_text(command, knowledge) : run_rows(command, rows, knowledge, attach_options(command));
}

}  // namespace cli
