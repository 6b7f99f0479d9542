// Notes on their way in.
#pragma once

#include <cstddef>
#include <string>

namespace cli {

inline constexpr std::size_t kLargestNote = std::size_t{16} << 20;  // Bytes of one note read as text.

// The bytes of `path`, or of standard input for "" and "-". Throws kb::Error for a missing file, a
// folder, a text in UTF-16 (told by its mark), and when `largest` is passed.
std::string read_input(const std::string& path, std::size_t largest);

// Is standard input a terminal? Then a command that would wait for it shows its help.
bool input_is_terminal();

}  // namespace cli
