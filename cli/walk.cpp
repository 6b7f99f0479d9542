#include "kb/walk.h"

#include "cli/commands.h"
#include "cli/ids.h"
#include "cli/output.h"
#include "cli/render.h"
#include "cli/source.h"
#include "cli/terminal.h"
#include "kb/walk_text.h"

namespace cli {
namespace {

std::string in_form(const WalkCommand& command, const kb::Walk& walk, const kb::Database& db) {
  if (command.as == "json") return kb::walk_json(walk);
  if (command.as == "html") return kb::walk_html(walk, db.meta("corpus-version"));
  if (command.as == "markdown") return kb::walk_markdown(walk, true);
  const bool to_file = !command.output.empty() && command.output != "-";
  return render_markdown(kb::walk_markdown(walk, false), to_file ? Terminal{} : describe_terminal(1));
}

}  // namespace

int run_walk(const WalkCommand& command) {
  const kb::Database db = open_database(command.db);
  if (!all_known(db, command.systems, "system") || !all_known(db, command.seen, "material")) return kWrongUse;
  const kb::Walk walk = kb::plan_walk(db, {command.built, command.systems, command.seen});
  OutputFile out(command.output);
  out.add(in_form(command, walk, db));
  out.finish();
  return walk.places.empty() && walk.first.empty() ? kNothing : kDone;
}

}  // namespace cli
