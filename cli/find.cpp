#include <sstream>

#include "cli/commands.h"
#include "cli/ids.h"
#include "cli/output.h"
#include "cli/render.h"
#include "cli/source.h"
#include "cli/terminal.h"
#include "kb/json_text.h"
#include "kb/limits.h"
#include "kb/search.h"

namespace cli {
namespace {

std::string joined(const std::vector<std::string>& words, const char* between) {
  std::string out;
  for (const std::string& w : words) out += (out.empty() ? "" : between) + w;
  return out;
}

void print_result(std::ostream& out, const kb::FindResult& r, const Terminal& terminal, bool why) {
  out << bold(r.article.title, terminal) << "  " << dim(r.article.id, terminal) << "\n";
  std::string line = r.article.kind;
  if (!r.years.empty()) line += ", " + r.years;
  if (!r.friability.empty()) line += ", " + r.friability;
  if (!r.matched.empty()) line += "; matched: " + joined(r.matched, ", ");
  out << "  " << sanitize_for_terminal(line) << "\n";
  if (!r.caution.empty()) out << "  " << r.caution << "\n";
  if (why) out << "  " << dim("score " + std::to_string(r.score) + " = " + r.parts, terminal) << "\n";
}

std::string as_text(const kb::FindAnswer& answer, const Terminal& terminal, bool why) {
  std::ostringstream out;
  for (const kb::Correction& c : answer.corrections)
    out << "Also looked for " << bold(c.to, terminal) << " (typed: " << sanitize_for_terminal(c.from) << ")\n";
  if (answer.words_asked < answer.words)
    out << "Asked for the " << answer.words_asked << " rarest of " << answer.words << " different words\n";
  if (answer.year) out << "Year taken into account: " << *answer.year << "\n";
  if (out.tellp() > 0) out << "\n";
  if (answer.results.empty() && !answer.nearest.empty())
    out << "Nothing in the corpus matches. The nearest titles, which may be something else:\n\n";
  for (const auto* list : {&answer.results, &answer.nearest})
    for (const kb::FindResult& r : *list) print_result(out, r, terminal, why);
  out << "\n" << render_markdown(kb::kStandingLimits, terminal);
  return out.str();
}

}  // namespace

int run_find(const FindCommand& command) {
  const kb::Database db = open_database(command.db);
  if (!command.system.empty() && !all_known(db, {command.system}, "system")) return kWrongUse;
  const std::string typed = joined(command.words, " ");
  kb::FindOptions options;
  options.built = command.built;
  options.system = command.system;
  options.kind = command.kind;
  options.place = command.place;
  options.reader = command.reader;
  options.most = command.most;
  const kb::FindAnswer answer = kb::find(db, typed, options);
  if (command.json) {
    write_stdout(kb::find_json(answer));
  } else if (answer.results.empty() && answer.nearest.empty()) {
    complain("nothing to look for: type a few words, for example: letbe find white paper on ducts");
  } else {
    write_stdout(as_text(answer, describe_terminal(1), command.why));
  }
  return answer.results.empty() ? kNothing : kDone;
}

}  // namespace cli
