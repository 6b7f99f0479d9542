#include "indexer/run.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <exception>
#include <optional>
#include <ostream>
#include <set>

#include "indexer/checks.h"
#include "indexer/corpus.h"
#include "indexer/corpus_source.h"
#include "indexer/timing.h"
#include "indexer/writer.h"

#ifndef LETBE_VERSION
#define LETBE_VERSION "0.1.0"
#endif

namespace indexer {
namespace {

constexpr const char* kWordList = "/usr/share/dict/american-english-small";

struct Options {
  std::vector<std::string> folders;
  std::string output;
  std::string words = kWordList;
  bool check_only = false;
  bool timing = false;
};

std::string counted(std::size_t count, const std::string& one) {
  return std::to_string(count) + " " + one + (count == 1 ? "" : "s");
}

void add_options(CLI::App& app, Options& options) {
  app.add_option("DIR", options.folders,
                 "Folder of articles; a later one overrides earlier ones section by section");
  app.add_option("-o,--output", options.output, "The database to write");
  app.add_flag("--check", options.check_only, "Only check the articles, write nothing");
  app.add_option("--words", options.words,
                 "List of general English words, one a line, never taken for misspellings "
                 "(default: the package wamerican-small)");
  app.add_flag("--timing", options.timing,
               "Print the seconds of each stage to standard error: read, yaml, markdown, checks, database, "
               "knowledge, finish, other, all");
  app.set_version_flag("--version", std::string("letbe-index ") + LETBE_VERSION);
  app.footer(
      "Exit codes: 0 done; 2 wrong use; 3 faults in the articles, or a file that cannot be read "
      "or written.");
}

int wrong_use(std::ostream& err, std::string message) {
  std::replace(message.begin(), message.end(), '\n', ' ');
  const char* more = message.ends_with('?') ? "\n" : "; see 'letbe-index --help'\n";
  err << "letbe-index: " << message << more;
  return kWrongUse;
}

std::string unexpected(const CLI::App& app) {
  static const std::vector<std::string> known{"--output", "--check", "--words", "--timing", "--version",
                                              "--help"};
  const std::vector<std::string> extras = app.remaining();
  const std::string argument = extras.empty() ? "" : extras.front();
  return "unknown option '" + argument + "'" +
         or_nearest(argument, known, "there are " + joined(known));
}

// CLI11 wants them last to first, and would take "[a,b]" for two folders.
std::vector<std::string> for_parser(std::vector<std::string> arguments) {
  for (std::string& argument : arguments)
    if (argument.starts_with('[')) argument.insert(0, "./");
  std::reverse(arguments.begin(), arguments.end());
  return arguments;
}

void print_problems(const std::vector<Problem>& problems, int page_files, std::ostream& err) {
  std::set<std::string> pages;
  std::set<std::string> others;
  for (const Problem& problem : problems) {
    err << to_line(problem) << '\n';
    (problem.file.ends_with(".md") ? pages : others).insert(problem.file);
  }
  err << counted(problems.size(), "problem") << " in ";
  if (!pages.empty() || others.empty())
    err << pages.size() << " of " << counted(static_cast<std::size_t>(page_files), "article");
  if (!pages.empty() && !others.empty()) err << " and ";
  if (!others.empty()) err << counted(others.size(), "other file");
  err << '\n';
}

// The database while the articles are still being checked. It is given up at the first fault. A failure
// to write is told only when the articles have none: that is what their writer can mend.
class Output {
 public:
  Output(const Options& options, const Corpus& corpus, kb::Lexicon& lexicon, const Problems& problems)
      : problems_(problems) {
    if (options.check_only || problems.any_error()) return;
    guarded([&] { writer_.emplace(corpus, lexicon, options.output); });
  }

  void add(const Page& page, const std::vector<NameKey>& names) {
    if (problems_.any_error()) writer_.reset();
    if (writer_) guarded([&] { writer_->add(page, names); });
  }

  // Only for articles without a fault.
  std::uintmax_t finish(const Extras& extras) {
    if (failure_) std::rethrow_exception(failure_);
    return writer_.value().finish(extras);
  }

 private:
  template <typename Work>
  void guarded(Work work) {
    try {
      work();
    } catch (const std::exception&) {
      failure_ = std::current_exception();
      writer_.reset();
    }
  }

  const Problems& problems_;
  std::optional<DatabaseWriter> writer_;
  std::exception_ptr failure_;
};

int build(const Options& options, std::ostream& out, std::ostream& err) {
  Problems problems;
  Sources sources;
  {
    const StageTime time(Stage::read);
    for (const std::string& folder : options.folders)
      sources.push_back(list_folder(folder, problems));
  }
  CorpusDigest digest;
  const Corpus corpus = assemble(sources, problems, &digest);
  kb::Lexicon lexicon(word_rules(corpus), {});
  lexicon.set_mode(kb::Lexicon::Mode::plain);
  Output output(options, corpus, lexicon, problems);
  const Outcome outcome = check_corpus(
      corpus, lexicon, problems,
      [&](const Page& page, const std::vector<NameKey>& names) { output.add(page, names); }, &digest);
  if (!problems.empty()) print_problems(problems.sorted(), outcome.page_files, err);
  if (problems.any_error()) return kBadInput;
  const std::string articles = counted(static_cast<std::size_t>(outcome.pages), "article");
  if (options.check_only) {
    out << articles << (problems.empty() ? " without a problem\n" : " with warnings only\n");
    return kDone;
  }
  std::string word_list;
  Extras extras;
  {
    const StageTime time(Stage::read);
    extras.general_words = read_word_list(options.words, &word_list);
    digest.add("words", word_list);
  }
  extras.digest = digest.take();
  const auto bytes = output.finish(extras);
  out << options.output << ": " << articles << ", corpus " << full_version(corpus, extras) << ", "
      << bytes << " bytes\n";
  return kDone;
}

}  // namespace

int run(std::vector<std::string> arguments, std::ostream& out, std::ostream& err) {
  Options options;
  CLI::App app("Checks the articles of letbe and builds its database.", "letbe-index");
  try {
    add_options(app, options);
    app.parse(for_parser(std::move(arguments)));
    if (options.folders.empty()) return wrong_use(err, "no folder of articles; name at least one");
    if (options.output.empty() && !options.check_only)
      return wrong_use(err, "no output; give -o FILE, or --check to write nothing");
    const int code = build(options, out, err);
    if (options.timing) err << stage_times();
    return code;
  } catch (const CLI::CallForHelp&) {
    out << app.help();
    return kDone;
  } catch (const CLI::CallForVersion& e) {
    out << e.what() << '\n';
    return kDone;
  } catch (const CLI::ExtrasError&) {
    return wrong_use(err, unexpected(app));
  } catch (const CLI::ParseError& e) {
    return wrong_use(err, e.what());
  } catch (const std::exception& e) {
    err << "letbe-index: " << e.what() << '\n';
    return kBadInput;
  }
}

}  // namespace indexer
