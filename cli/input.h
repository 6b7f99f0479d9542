// Notes on their way in.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

namespace cli {

inline constexpr std::size_t kLargestNote = std::size_t{256} << 20;    // Bytes of one note answered as text.
inline constexpr std::size_t kLargestReading = std::size_t{16} << 20;  // The same where all of its reading is held.

// A file or standard input, read part by part.
class Input {
 public:
  // Opens `path`, or standard input for "" and "-". Throws kb::Error for a missing file and a folder.
  explicit Input(const std::string& path);
  ~Input();
  Input(const Input&) = delete;
  Input& operator=(const Input&) = delete;

  // Up to `size` bytes; 0 at the end. Throws kb::Error when it cannot be read, and at the beginning of a
  // text in UTF-16 (told by its mark).
  std::size_t read(char* into, std::size_t size);

  // "'notes.csv'" or "standard input", for messages.
  const std::string& name() const { return name_; }
  // Bytes of a regular file, nothing for a pipe or a terminal; and how many were read.
  std::optional<std::size_t> size() const { return size_; }
  std::size_t bytes_read() const { return bytes_read_; }

 private:
  std::string name_;
  int fd_ = 0;
  std::optional<std::size_t> size_;
  std::size_t bytes_read_ = 0;
};

// The bytes of `path`, or of standard input for "" and "-". Throws kb::Error as Input does, and when
// `largest` is passed.
std::string read_input(const std::string& path, std::size_t largest);

// Is standard input a terminal? Then a command that would wait for it shows its help.
bool input_is_terminal();

}  // namespace cli
