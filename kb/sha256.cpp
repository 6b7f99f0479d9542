#include "kb/sha256.h"

#include <sha2.h>

#include <algorithm>
#include <cstring>

#if defined(__x86_64__)
#include <cpuid.h>
#include <immintrin.h>
#endif

namespace kb {
namespace {

constexpr std::size_t kBlock = 64;

// Works `blocks` blocks of 64 bytes into the state.
using Work = void (*)(std::uint32_t* state, const std::uint8_t* data, std::size_t blocks);

void work_anywhere(std::uint32_t* state, const std::uint8_t* data, std::size_t blocks) {
  for (; blocks > 0; --blocks, data += kBlock) SHA256Transform(state, data);
}

#if defined(__x86_64__)

alignas(16) constexpr std::array<std::uint32_t, 64> kRounds{
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

__m128i load(const void* from) { return _mm_loadu_si128(static_cast<const __m128i*>(from)); }

// The processor's own instructions for this digest: some seven times as fast, and a database is
// hashed whole by letbe-index and by each run with --db.
__attribute__((target("sha,sse4.1"))) void work_with_instructions(std::uint32_t* state,
                                                                  const std::uint8_t* data,
                                                                  std::size_t blocks) {
  const __m128i big_endian = _mm_set_epi64x(0x0c0d0e0f08090a0b, 0x0405060700010203);
  // The instructions want the eight words as (a b e f) and (c d g h).
  const __m128i low = _mm_shuffle_epi32(load(state), 0xB1);
  const __m128i high = _mm_shuffle_epi32(load(state + 4), 0x1B);
  __m128i abef = _mm_alignr_epi8(low, high, 8);
  __m128i cdgh = _mm_blend_epi16(high, low, 0xF0);
  for (; blocks > 0; --blocks, data += kBlock) {
    const __m128i abef_before = abef, cdgh_before = cdgh;
    __m128i words[4];
    for (int i = 0; i < 16; ++i) {
      __m128i& now = words[i % 4];
      if (i < 4) {
        now = _mm_shuffle_epi8(load(data + 16 * i), big_endian);
      } else {
        const __m128i last = words[(i + 3) % 4];
        const __m128i sum = _mm_add_epi32(_mm_sha256msg1_epu32(now, words[(i + 1) % 4]),
                                          _mm_alignr_epi8(last, words[(i + 2) % 4], 4));
        now = _mm_sha256msg2_epu32(sum, last);
      }
      const __m128i round = _mm_add_epi32(now, load(kRounds.data() + 4 * i));
      cdgh = _mm_sha256rnds2_epu32(cdgh, abef, round);
      abef = _mm_sha256rnds2_epu32(abef, cdgh, _mm_shuffle_epi32(round, 0x0E));
    }
    abef = _mm_add_epi32(abef, abef_before);
    cdgh = _mm_add_epi32(cdgh, cdgh_before);
  }
  const __m128i feba = _mm_shuffle_epi32(abef, 0x1B);
  const __m128i dchg = _mm_shuffle_epi32(cdgh, 0xB1);
  _mm_storeu_si128(reinterpret_cast<__m128i*>(state), _mm_blend_epi16(feba, dchg, 0xF0));
  _mm_storeu_si128(reinterpret_cast<__m128i*>(state + 4), _mm_alignr_epi8(dchg, feba, 8));
}

bool has_instructions() {
  unsigned a = 0, b = 0, c = 0, d = 0;
  if (__get_cpuid(1, &a, &b, &c, &d) == 0 || (c & bit_SSE4_1) == 0 || (c & bit_SSSE3) == 0) return false;
  return __get_cpuid_count(7, 0, &a, &b, &c, &d) != 0 && (b & bit_SHA) != 0;
}

Work chosen() {
  static const Work work = has_instructions() ? work_with_instructions : work_anywhere;
  return work;
}

#else

Work chosen() { return work_anywhere; }

#endif

}  // namespace

void Sha256::add(std::string_view bytes) {
  const Work work = chosen();
  const std::size_t open = size_ % kBlock;
  size_ += bytes.size();
  if (open > 0) {
    const std::size_t part = std::min(kBlock - open, bytes.size());
    std::copy_n(bytes.begin(), part, block_.begin() + static_cast<std::ptrdiff_t>(open));
    bytes.remove_prefix(part);
    if (open + part < kBlock) return;
    work(state_.data(), block_.data(), 1);
  }
  const std::size_t blocks = bytes.size() / kBlock;
  if (blocks > 0) work(state_.data(), reinterpret_cast<const std::uint8_t*>(bytes.data()), blocks);
  bytes.remove_prefix(blocks * kBlock);
  std::copy(bytes.begin(), bytes.end(), block_.begin());
}

std::string Sha256::take() {
  const std::uint64_t bits = size_ * 8;
  std::string end(1, '\x80');
  end.append((2 * kBlock - 9 - size_ % kBlock) % kBlock, '\0');
  for (int shift = 56; shift >= 0; shift -= 8) end += static_cast<char>(bits >> shift);
  add(end);
  std::string out;
  for (const std::uint32_t word : state_)
    for (int shift = 24; shift >= 0; shift -= 8) out += static_cast<char>(word >> shift);
  return out;
}

std::string sha256(std::string_view bytes) {
  Sha256 digest;
  digest.add(bytes);
  return digest.take();
}

std::string hex(std::string_view raw, std::size_t digits) {
  constexpr char kHex[] = "0123456789abcdef";
  std::string out;
  for (const char c : raw) {
    const auto byte = static_cast<unsigned char>(c);
    out += kHex[byte >> 4];
    out += kHex[byte & 15];
  }
  return out.substr(0, digits);
}

std::string sha256_hex(std::string_view bytes, std::size_t digits) { return hex(sha256(bytes), digits); }

}  // namespace kb
