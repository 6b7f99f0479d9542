#include "indexer/corpus_source.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <optional>
#include <utility>

#include "indexer/schema.h"
#include "kb/error.h"
#include "kb/text.h"

namespace indexer {
namespace {

namespace fs = std::filesystem;

// A file that large is none of ours; the pages' own limit is checked later, with its own message.
constexpr std::size_t kLargestFile = 16u << 20;

class OpenFile {
 public:
  explicit OpenFile(const std::string& path) : fd_(open(path.c_str(), O_RDONLY | O_CLOEXEC)) {}
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  ~OpenFile() {
    if (fd_ >= 0) close(fd_);
  }
  int get() const { return fd_; }

 private:
  int fd_;
};

// Reads the file into `bytes`, whose room is used again. False, and the reason in `why`, on failure.
bool read_file(const std::string& path, std::string& bytes, std::string& why) {
  constexpr std::size_t kPart = 1 << 16;
  bytes.clear();
  const OpenFile file(path);
  ssize_t got = file.get() < 0 ? -1 : 1;
  for (std::size_t size = 0; got > 0 && size <= kLargestFile; size += static_cast<std::size_t>(got)) {
    bytes.resize(size + kPart);
    do {
      got = read(file.get(), bytes.data() + size, kPart);
    } while (got < 0 && errno == EINTR);
    bytes.resize(size + static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
  }
  if (got < 0) {
    why = std::strerror(errno);
  } else if (bytes.size() > kLargestFile) {
    why = "larger than 16 MiB";
  }
  return why.empty();
}

// What stands in a folder, by name. An error code is left in `code`.
std::vector<fs::directory_entry> entries_of(const std::string& path, std::error_code& code) {
  std::vector<fs::directory_entry> out;
  for (fs::directory_iterator it(path, code), end; !code && it != end; it.increment(code))
    out.push_back(*it);
  std::sort(out.begin(), out.end(),
            [](const auto& a, const auto& b) { return a.path().filename() < b.path().filename(); });
  return out;
}

bool passed_over(const std::string& name) { return name.starts_with('.') || name.ends_with('~'); }

class FolderLister {
 public:
  FolderLister(SourceFolder& folder, Problems& problems) : folder_(folder), problems_(problems) {}

  void list_top(const std::vector<fs::directory_entry>& entries) {
    for (const auto& entry : entries) {
      const std::string name = entry.path().filename().string();
      if (passed_over(name) || name == "README.md") continue;
      std::error_code code;
      if (entry.is_directory(code)) {
        list_inner(name);
      } else if (name == "corpus.yaml") {
        take(entry, name);
      } else if (name.ends_with(".md") || name.ends_with(".yaml") || name.ends_with(".yml") ||
                 name.ends_with(".tsv")) {
        report(name, "a file that is not read here" + or_nearest(name, kTopFiles, kInner));
      }
    }
  }

 private:
  static inline const std::array<std::string, 1> kTopFiles{"corpus.yaml"};
  static constexpr const char* kInner =
      "pages go into the folder of their kind, words into vocabulary";

  void report(const std::string& relative, const std::string& message) {
    problems_.add(Rule::unreadable, {keep(folder_.path + "/" + relative), 1}, message);
  }

  // Problems copy the file's name at once, so one buffer serves all.
  std::string_view keep(std::string path) {
    path_ = std::move(path);
    return path_;
  }

  void list_inner(const std::string& name) {
    const bool vocabulary = name == "vocabulary";
    if (!vocabulary && kind_by_folder(name) == nullptr) {
      std::vector<std::string> known{"vocabulary"};
      for (const Kind& kind : all_kinds()) known.push_back(kind.folder);
      report(name, "unknown folder '" + name + "'" +
                       or_nearest(name, known, "there are " + joined(known)));
      return;
    }
    std::error_code code;
    const auto entries = entries_of(folder_.path + "/" + name, code);
    if (code) report(name, "cannot read the folder: " + code.message() + "; check its permissions");
    for (const auto& entry : entries) {
      const std::string file = entry.path().filename().string();
      if (passed_over(file)) continue;
      const std::string relative = name + "/" + file;
      if (vocabulary ? named(file, ".yaml") : named(file, ".md") || named(file, ".svg")) {
        take(entry, relative);
      } else {
        report(relative, std::string("a file that is not read here; its name must end in ") + (vocabulary ? "'.yaml'" : "'.md', or '.svg' for a drawing"));
      }
    }
  }

  static bool named(std::string_view file, std::string_view ending) { return file.ends_with(ending) && file.size() > ending.size(); }

  void take(const fs::directory_entry& entry, const std::string& relative) {
    std::error_code code;
    if (!entry.is_regular_file(code)) {
      report(relative, "cannot be read: " + (code ? code.message() : "no regular file") +
                           "; put a file there");
      return;
    }
    folder_.files.push_back({folder_.path + "/" + relative, relative, {}});
  }

  SourceFolder& folder_;
  Problems& problems_;
  std::string path_;
};

}  // namespace

SourceFolder list_folder(const std::string& path, Problems& problems) {
  SourceFolder folder;
  folder.path = path;
  while (folder.path.size() > 1 && folder.path.ends_with('/')) folder.path.pop_back();
  std::error_code code;
  const auto entries = entries_of(folder.path, code);
  if (code)
    throw kb::Error("cannot read the folder '" + path + "': " + code.message() +
                    "; give the folder that holds corpus.yaml and the articles");
  FolderLister(folder, problems).list_top(entries);
  std::sort(folder.files.begin(), folder.files.end(),
            [](const SourceFile& a, const SourceFile& b) { return a.relative < b.relative; });
  return folder;
}

std::optional<std::string_view> bytes_of(const SourceFile& file, std::string& buffer, Problems& problems) {
  if (file.bytes) return *file.bytes;
  std::string why;
  if (read_file(file.path, buffer, why)) return buffer;
  problems.add(Rule::unreadable, {file.path, 1}, "cannot be read: " + why + "; check its permissions");
  return {};
}

std::vector<std::string> read_word_list(const std::string& path, std::string* bytes) {
  std::string content;
  std::string why;
  if (!read_file(path, content, why))
    throw kb::Error("cannot read the word list '" + path + "': " + why +
                    "; install the package wamerican-small, or give a list with --words");
  if (bytes != nullptr) *bytes = content;
  std::vector<std::string> words;
  for (std::size_t at = 0; at < content.size();) {
    const std::size_t end = std::min(content.find('\n', at), content.size());
    const std::string_view line = std::string_view(content).substr(at, end - at);
    const auto tokens = kb::split(line);
    if (tokens.size() == 1 && tokens[0].kind == kb::RawToken::Kind::word && tokens[0].begin == 0 &&
        tokens[0].end == line.size())
      words.push_back(kb::fold(line));
    at = end + 1;
  }
  std::sort(words.begin(), words.end());
  words.erase(std::unique(words.begin(), words.end()), words.end());
  return words;
}

void CorpusDigest::add(std::string_view relative, std::string_view bytes) {
  sum_.add(relative);
  sum_.add("\n" + std::to_string(bytes.size()) + "\n");
  sum_.add(bytes);
}

}  // namespace indexer
