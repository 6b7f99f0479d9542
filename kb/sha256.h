// SHA-256, of bytes at hand or part by part. Never fails.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace kb {

class Sha256 {
 public:
  void add(std::string_view bytes);
  // The digest of all that was added, as 32 raw bytes. Nothing can be added after.
  std::string take();

 private:
  std::array<std::uint32_t, 8> state_{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                      0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  std::array<std::uint8_t, 64> block_{};  // What is not a whole block yet.
  std::uint64_t size_ = 0;                // Bytes added.
};

// SHA-256 as 32 raw bytes, and the first `digits` hex digits of it (of raw bytes likewise).
std::string sha256(std::string_view bytes);
std::string sha256_hex(std::string_view bytes, std::size_t digits);
std::string hex(std::string_view raw, std::size_t digits);

}  // namespace kb
