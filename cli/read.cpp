#include "cli/commands.h"
#include "cli/output.h"
#include "cli/render.h"
#include "cli/source.h"
#include "cli/terminal.h"
#include "kb/atomic_file.h"
#include "kb/drawing.h"
#include "kb/html.h"
#include "kb/json_text.h"
#include "kb/limits.h"

namespace cli {
namespace {

kb::Reader reader_of(const std::string& word) {
  if (word == "inspector") return kb::Reader::inspector;
  if (word == "homeowner") return kb::Reader::homeowner;
  if (word == "report") return kb::Reader::report;
  return kb::Reader::everyone;
}

// The drawing in words, as a paragraph of markdown in which no sign means anything.
std::string drawing_in_words(const kb::Article& article) {
  const auto told = kb::text_of_drawing(article.drawing);
  if (!told) return {};
  constexpr std::string_view kSaid = "Drawing of ";
  std::string_view desc = told->desc;
  if (desc.starts_with(kSaid)) desc.remove_prefix(kSaid.size());
  std::string out = "Drawing: ";
  for (const char c : desc) {
    if (std::string_view("\\`*_{}[]()#+-.!<>&|~").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out + "\n\n";
}

int unknown_id(const kb::Database& db, const std::string& id) {
  std::string near;
  for (const std::string& n : kb::nearest_ids(db, id, 3)) near += (near.empty() ? "'" : ", '") + n + "'";
  complain("unknown article '" + id + "'" + (near.empty() ? "; letbe list shows all, letbe find searches" : "; did you mean " + near + "?"));
  return kWrongUse;
}

void deliver(const std::string& text, const std::string& output) {
  if (output.empty() || output == "-") {
    write_stdout(text);
  } else {
    kb::write_file_atomically(output, text);
  }
}

}  // namespace

int run_read(const ReadCommand& command) {
  const kb::Database db = open_database(command.db);
  const auto article = kb::load_article(db, command.id);
  if (!article) return unknown_id(db, command.id);
  if (command.json) {
    deliver(kb::article_json(*article), command.output);
    return kDone;
  }
  const kb::Reader reader = reader_of(command.reader);
  const kb::AroundDrawing parts = kb::to_markdown_around_drawing(*article, reader);
  const std::string markdown = parts.above + (parts.shown ? drawing_in_words(*article) : "") + parts.below;
  if (markdown.empty()) {
    complain("article '" + command.id + "' has no part for the " + command.reader + "; leave --for out to read it whole");
    return kNothing;
  }
  if (command.html) {
    deliver(kb::article_html(*article, reader, db.meta("corpus-version")), command.output);
    return kDone;
  }
  const bool to_file = !command.output.empty() && command.output != "-";
  const Terminal terminal = to_file ? Terminal{} : describe_terminal(1);
  deliver(render_markdown(markdown, terminal) + "\n" + render_markdown(kb::kStandingLimits, terminal), command.output);
  return kDone;
}

}  // namespace cli
