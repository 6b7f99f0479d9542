// `letbe list` and `letbe about`.
#include <sqlite3.h>

#include <sstream>

#include "cli/commands.h"
#include "cli/output.h"
#include "cli/render.h"
#include "cli/source.h"
#include "cli/terminal.h"
#include "kb/json_text.h"
#include "kb/limits.h"

namespace cli {
namespace {

std::string advice_text(const kb::Knowledge& k) {
  std::ostringstream out;
  out << "The first row that fits a material decides. Every level still says: leave it undisturbed, and have\n"
         "a licensed or accredited asbestos professional evaluate it before any work.\n\n";
  const auto list = [](const std::vector<std::string>& words, const char* between) {
    std::string text;
    for (const std::string& w : words) text += (text.empty() ? "" : between) + w;
    return text;
  };
  for (const kb::AdviceRow& r : k.advice_rows) {
    std::vector<std::string> when;
    if (r.any != 0) when.push_back("any of: " + list(k.ids_of(r.any), ", "));
    if (r.all != 0) when.push_back("all of: " + list(k.ids_of(r.all), ", "));
    if (r.without != 0) when.push_back("none of: " + list(k.ids_of(r.without), ", "));
    if (!r.friability.empty()) when.push_back("friability: " + list(r.friability, ", "));
    if (!r.severity.empty()) when.push_back("severity: " + r.severity);
    if (!r.tested.empty()) when.push_back("tested: " + list(r.tested, ", "));
    if (!r.materials.empty()) when.push_back("material: " + list(r.materials, ", "));
    if (!r.unstated.empty()) when.push_back("the material's advice when unstated: " + r.unstated);
    if (r.stated) when.push_back(*r.stated ? "its state is told" : "its state is not told");
    out << r.advice << std::string(10 - std::min<std::size_t>(9, r.advice.size()), ' ')
        << (when.empty() ? "always" : list(when, "; ")) << "\n          (" << r.because << ")\n";
  }
  return out.str();
}

}  // namespace

int run_list(const ListCommand& command) {
  const kb::Database db = open_database(command.db);
  const auto articles = kb::list_articles(db, command.kind);
  if (command.json) {
    write_stdout(kb::list_json(articles));
    return articles.empty() ? kNothing : kDone;
  }
  std::ostringstream out;
  const Terminal terminal = describe_terminal(1);
  std::string kind;
  std::size_t width = 0;
  for (const kb::ArticleInfo& a : articles) width = std::max(width, a.id.size());
  for (const kb::ArticleInfo& a : articles) {
    if (a.kind != kind) out << (kind.empty() ? "" : "\n") << heading(a.kind, terminal) << "\n";
    kind = a.kind;
    out << "  " << a.id << std::string(width + 2 - a.id.size(), ' ') << a.title << "\n";
  }
  write_stdout(out.str());
  return articles.empty() ? kNothing : kDone;
}

int run_about(const AboutCommand& command) {
  const kb::Database db = open_database(command.db);
  if (command.advice) {
    const kb::Knowledge k = kb::load_knowledge(db);
    write_stdout(command.json ? kb::advice_json(k) : advice_text(k));
    return kDone;
  }
  kb::About about;
  about.version = LETBE_VERSION;
  about.corpus_version = db.meta("corpus-version");
  about.schema_version = kb::kSchemaVersion;
  about.sqlite_version = sqlite3_libversion();
  const std::string path = database_path(command.db);
  about.database = path.empty() ? "built in" : path;
  about.articles = kb::list_articles(db).size();
  about.limits = {kb::kStandingLimits, "It names suspects; it never clears a material, and it replaces no licensed asbestos professional.",
                  "A note read as text may hold up to 16 MiB."};
  if (command.json) {
    write_stdout(kb::about_json(about));
    return kDone;
  }
  std::ostringstream out;
  out << "letbe " << about.version << "\n"
      << "corpus " << about.corpus_version << ": " << about.articles << " articles\n"
      << "database: " << sanitize_for_terminal(about.database) << ", schema version " << about.schema_version << ", SQLite " << about.sqlite_version << "\n\n";
  for (const std::string& line : about.limits) out << render_markdown(line, describe_terminal(1));
  write_stdout(out.str());
  return kDone;
}

}  // namespace cli
