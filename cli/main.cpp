// The program letbe: what was typed, made into plain values for the commands.
#include <CLI/CLI.hpp>

#include <fcntl.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <functional>

#include "cli/commands.h"
#include "cli/input.h"
#include "cli/output.h"
#include "cli/terminal.h"
#include "kb/error.h"
#include "kb/text.h"

namespace cli {

void to_standard_error(const std::string& text) { std::fputs(text.c_str(), stderr); }

void complain(const std::string& message) {
  std::string line = message;
  for (char& c : line)
    if (c == '\n' || c == '\r') c = ' ';
  std::fprintf(stderr, "letbe: %s\n", sanitize_for_terminal(line).c_str());
}

namespace {

constexpr char kGuard = '\x01';  // Keeps CLI11 from taking "[a,b]" for a list of two values.
const std::vector<std::string> kCommands = {"find", "read", "note", "walk", "chart", "list", "about", "help"};
const std::vector<std::string> kKinds = {"material", "system", "era", "caution", "rule", "basics", "lookalike", "homeowner"};

std::string nearest(const std::string& typed, const std::vector<std::string>& known) {
  std::string best;
  int distance = 3;
  for (const std::string& k : known)
    if (const int d = kb::edit_distance(typed, k, 2); d < distance) {
      distance = d;
      best = k;
    }
  return best;
}

// Everything that can be typed, and the values it fills.
class Parser {
 public:
  Parser() : app_("letbe: an offline asbestos reference for home inspectors", "letbe") {
    app_.require_subcommand(0, 1);
    app_.set_version_flag("-V,--version", std::string("letbe ") + LETBE_VERSION);
    app_.set_help_flag("-h,--help", "Print help and leave");
    app_.add_option("--db", db_, "Use this database file (also: LETBE_DB)")->type_name("FILE");
    app_.footer("Examples:\n  letbe find white paper on the ducts --built 1956\n  letbe read duct-paper-wrap\n"
                "  letbe note inspection.txt -o report.txt\n\n"
                "Exit codes: 0 done, 1 nothing found or nothing to attach, 2 wrong use, 3 bad input.\n"
                "Visual only, not an asbestos survey; only a laboratory confirms.");
    find();
    read();
    note();
    walk();
    chart();
    list();
    about();
  }

  int run(int argc, char** argv) {
    std::vector<std::string> arguments(argv + 1, argv + argc);
    if (arguments.empty()) {
      std::fputs(app_.help().c_str(), stderr);
      return kWrongUse;
    }
    if (arguments[0] == "help") {
      arguments.erase(arguments.begin());
      arguments.emplace_back("--help");
    }
    if (!arguments[0].starts_with('-') && std::find(kCommands.begin(), kCommands.end(), arguments[0]) == kCommands.end())
      return unknown("command", arguments[0], kCommands, "letbe --help lists the commands");
    if (arguments[0] == "note" && arguments.size() == 1 && input_is_terminal()) {
      std::fputs(app_.get_subcommand("note")->help().c_str(), stderr);
      return kWrongUse;
    }
    for (std::string& a : arguments)
      if (a.starts_with('[') || a.starts_with(kGuard)) a.insert(a.begin(), kGuard);
    std::reverse(arguments.begin(), arguments.end());
    try {
      app_.parse(std::move(arguments));
    } catch (const CLI::CallForHelp&) {
      write_stdout(current().help());
      return kDone;
    } catch (const CLI::CallForVersion&) {
      write_stdout(std::string("letbe ") + LETBE_VERSION + "\n");
      return kDone;
    } catch (const CLI::ParseError& e) {
      return wrong(e);
    }
    if (!command_) {
      std::fputs(app_.help().c_str(), stderr);
      return kWrongUse;
    }
    for (std::string* db : {&find_.db, &read_.db, &note_.db, &walk_.db, &chart_.db, &list_.db, &about_.db})
      if (db->empty()) *db = db_;
    return command_();
  }

 private:
  CLI::App* add(const char* name, const char* says, std::string& db) {
    CLI::App* sub = app_.add_subcommand(name, says);
    sub->set_help_flag("-h,--help", "Print help and leave");
    sub->add_option("--db", db, "Use this database file (also: LETBE_DB)")->type_name("FILE");
    return sub;
  }
  static void add_year(CLI::App* sub, std::optional<int>& built) {
    sub->add_option("--built", built, "Year the house was built")->type_name("YEAR")->check(CLI::Range(1500, 2100).description(""));
  }

  void find() {
    CLI::App* sub = add("find", "Search the articles", find_.db);
    sub->add_option("WORDS", find_.words, "What it is called, or how it looks")->required()->type_name("");
    add_year(sub, find_.built);
    sub->add_option("--system", find_.system, "Only what belongs to this system")->type_name("ID");
    sub->add_option("--kind", find_.kind, "Only this kind of article")->type_name("KIND")->check(CLI::IsMember(kKinds));
    sub->add_option("--place", find_.place, "Only what is found in this place (attic, basement, ...)")->type_name("PLACE");
    sub->add_option("--for", find_.reader, "Who asks (default: as the words tell)")->type_name("READER")->check(CLI::IsMember({"homeowner", "inspector"}));
    sub->add_option("-n,--most", find_.most, "At most so many results")->type_name("N")->capture_default_str()->check(CLI::Range(1, 1000).description(""));
    sub->add_flag("--why", find_.why, "Show the score's parts");
    sub->add_flag("--json", find_.json, "Print one JSON document");
    sub->footer("Example: letbe find pebbly gold stuff between joists\nWords that begin with a dash come after --");
    sub->callback([this] { command_ = [this] {
      for (std::string& w : find_.words) unguard(w);
      for (std::string* text : {&find_.db, &find_.system, &find_.place}) unguard(*text);
      return run_find(find_);
    }; });
  }
  void read() {
    CLI::App* sub = add("read", "Show an article", read_.db);
    sub->add_option("ID", read_.id, "The article, for example duct-paper-wrap")->required()->type_name("");
    sub->add_option("--for", read_.reader, "Only the part for this reader")->type_name("READER")->check(CLI::IsMember({"inspector", "homeowner", "report"}));
    auto* json = sub->add_flag("--json", read_.json, "Print one JSON document");
    sub->add_flag("--html", read_.html, "Print one HTML page")->excludes(json);
    sub->add_option("-o,--output", read_.output, "Write to this file")->type_name("FILE")->check(not_empty());
    sub->footer("Example: letbe read vinyl-floor-tile --for homeowner");
    sub->callback([this] { command_ = [this] {
      for (std::string* text : {&read_.db, &read_.id, &read_.output}) unguard(*text);
      return run_read(read_);
    }; });
  }
  void note() {
    CLI::App* sub = add("note", "Attach the matching cautions to a note", note_.db);
    sub->add_option("FILE", note_.file, "The note; - or nothing reads standard input")->type_name("");
    add_year(sub, note_.built);
    sub->add_option("--from", note_.from, "The note's form: one text, or a note in each row")->type_name("FORM")->check(CLI::IsMember({"text", "csv", "jsonl"}));
    sub->add_option("--column", note_.column, "Column or JSON member that holds the note")->type_name("NAME")->capture_default_str();
    sub->add_option("--built-column", note_.built_column, "Column or JSON member with the house's year")->type_name("NAME")->capture_default_str();
    auto* as = sub->add_option("--as", note_.as, "What to print (default: text; for rows, as they came)")->type_name("FORM")->check(CLI::IsMember({"text", "markdown", "html", "json", "jsonl", "csv"}));
    sub->add_flag("--json", json_, "The same as --as json")->excludes(as);
    sub->add_flag("--why", note_.why, "Show on standard error the words that decided");
    auto* brief = sub->add_flag("--brief", note_.brief, "Shorter blocks");
    sub->add_option("--for", note_.reader, "Blocks in plain words for a homeowner")->type_name("READER")->check(CLI::IsMember({"inspector", "homeowner"}))->excludes(brief);
    sub->add_flag("--no-stamp", no_stamp_, "Leave the stamp lines out, not the cautions");
    auto* refresh = sub->add_flag("--refresh", note_.refresh, "Replace blocks of an older corpus too");
    auto* strip = sub->add_flag("--strip", note_.strip, "Take our blocks out again")->excludes(refresh);
    sub->add_flag("--summary", note_.summary, "Each suspect material once, the most urgent first")->excludes(strip);
    sub->add_option("-o,--output", note_.output, "Write to this file")->type_name("FILE")->check(not_empty());
    sub->footer("Example: letbe note inspection.txt --built 1956 -o report.txt\nThe note comes back to the byte, with cautions between.");
    sub->callback([this] { command_ = [this] {
      note_.stamp = !no_stamp_;
      if (json_) note_.as = "json";
      for (std::string* text : {&note_.db, &note_.file, &note_.column, &note_.built_column, &note_.output}) unguard(*text);
      return run_note(note_);
    }; });
  }
  void walk() {
    CLI::App* sub = add("walk", "What to look for in a house of some year, place by place", walk_.db);
    sub->add_option("--built", walk_.built, "Year the house was built")->required()->type_name("YEAR")->check(CLI::Range(1500, 2100).description(""));
    sub->add_option("--system", walk_.systems, "Only what belongs to these systems")->type_name("ID");
    sub->add_option("--seen", walk_.seen, "Materials already found: what to look for next, and why")->type_name("ID");
    auto* as = sub->add_option("--as", walk_.as, "What to print (default: text)")->type_name("FORM")->check(CLI::IsMember({"text", "markdown", "html", "json"}));
    sub->add_flag("--json", json_, "The same as --as json")->excludes(as);
    sub->add_option("-o,--output", walk_.output, "Write to this file")->type_name("FILE")->check(not_empty());
    sub->footer("Example: letbe walk --built 1956 --as html -o walk.html\nAfter a first find: letbe walk --built 1956 --seen pipe-lagging");
    sub->callback([this] { command_ = [this] {
      if (json_) walk_.as = "json";
      for (std::vector<std::string>* list : {&walk_.systems, &walk_.seen})
        for (std::string& id : *list) unguard(id);
      for (std::string* text : {&walk_.db, &walk_.output}) unguard(*text);
      return run_walk(walk_);
    }; });
  }
  void chart() {
    CLI::App* sub = add("chart", "When each material was used, as bars over decades", chart_.db);
    add_year(sub, chart_.built);
    sub->add_option("--system", chart_.system, "Only what belongs to this system")->type_name("ID");
    sub->add_option("--as", chart_.as, "What to print (default: text)")->type_name("FORM")->check(CLI::IsMember({"text", "svg", "markdown"}));
    sub->add_option("-o,--output", chart_.output, "Write to this file")->type_name("FILE")->check(not_empty());
    sub->footer("Example: letbe chart --built 1956\nAs a picture: letbe chart --as svg -o chart.svg");
    sub->callback([this] { command_ = [this] {
      for (std::string* text : {&chart_.db, &chart_.system, &chart_.output}) unguard(*text);
      return run_chart(chart_);
    }; });
  }
  void list() {
    CLI::App* sub = add("list", "What the corpus holds", list_.db);
    sub->add_option("--kind", list_.kind, "Only this kind of article")->type_name("KIND")->check(CLI::IsMember(kKinds));
    sub->add_flag("--json", list_.json, "Print one JSON document");
    sub->footer("Example: letbe list --kind material");
    sub->callback([this] { command_ = [this] {
      unguard(list_.db);
      return run_list(list_);
    }; });
  }
  void about() {
    CLI::App* sub = add("about", "Versions, database, limits", about_.db);
    sub->add_flag("--advice", about_.advice, "Print the table that gives each advice");
    sub->add_flag("--json", about_.json, "Print one JSON document");
    sub->footer("Example: letbe about --advice");
    sub->callback([this] { command_ = [this] {
      unguard(about_.db);
      return run_about(about_);
    }; });
  }

  static CLI::Validator not_empty() {
    return {[](std::string& value) { return value.empty() ? std::string("the name of the file is empty") : std::string(); }, ""};
  }
  static void unguard(std::string& text) {
    if (text.starts_with(kGuard)) text.erase(0, 1);
  }

  const CLI::App& current() const {
    const auto subs = app_.get_subcommands();
    return subs.empty() ? app_ : *subs.front();
  }
  std::string help_command() const {
    const auto subs = app_.get_subcommands();
    return (subs.empty() ? "letbe" : "letbe " + subs.front()->get_name()) + " --help";
  }

  static int unknown(const std::string& what, const std::string& typed, const std::vector<std::string>& known, const std::string& else_say) {
    const std::string near = nearest(typed, known);
    complain("unknown " + what + " '" + typed + "'; " + (near.empty() ? else_say : "did you mean '" + near + "'?"));
    return kWrongUse;
  }

  int wrong(const CLI::ParseError& e) const {
    const CLI::App& app = current();
    for (std::string extra : app_.remaining(true)) {
      unguard(extra);
      if (!extra.starts_with('-') || extra == "-") {
        complain("'" + extra + "' is one argument too many; see " + help_command());
        return kWrongUse;
      }
      std::vector<std::string> known;
      for (const CLI::Option* o : app.get_options())
        for (const std::string& name : o->get_lnames()) known.push_back("--" + name);
      return unknown("option", extra.substr(0, extra.find('=')), known, "see " + help_command() + "; a word that begins with a dash comes after --");
    }
    complain(std::string(e.what()) + "; see " + help_command());
    return kWrongUse;
  }

  CLI::App app_;
  FindCommand find_;
  ReadCommand read_;
  NoteCommand note_;
  WalkCommand walk_;
  ChartCommand chart_;
  ListCommand list_;
  AboutCommand about_;
  std::string db_;
  bool json_ = false, no_stamp_ = false;
  std::function<int()> command_;
};

// With standard error closed, the next file that is opened would take its number, and our complaints.
void keep_standard_error_apart() {
  if (fcntl(STDERR_FILENO, F_GETFD) >= 0) return;
  const int fd = open("/dev/null", O_WRONLY);
  if (fd < 0 || fd == STDERR_FILENO) return;
  dup2(fd, STDERR_FILENO);
  close(fd);
}

int run(int argc, char** argv) {
  std::signal(SIGPIPE, SIG_IGN);  // A reader who leaves ends us quietly, not by a signal.
  keep_standard_error_apart();
  try {
    return Parser().run(argc, argv);
  } catch (const kb::Error& e) {
    complain(e.what());
  } catch (const std::bad_alloc&) {
    complain("there is not enough memory for this; split the note");
  } catch (const std::exception& e) {
    complain(std::string("unexpected: ") + e.what());
  }
  return kBadInput;
}

}  // namespace
}  // namespace cli

int main(int argc, char** argv) { return cli::run(argc, argv); }
