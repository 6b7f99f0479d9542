// The digest against FIPS 180-4's own examples, and part by part.
#include <doctest/doctest.h>
#include <sha2.h>

#include <string>

#include "kb/sha256.h"

TEST_CASE("the digest is that of the standard") {
  CHECK(kb::sha256_hex("", 64) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(kb::sha256_hex("abc", 64) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(kb::sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", 64) ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(kb::sha256_hex(std::string(1'000'000, 'a'), 64) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("the digest is the same for any length in any parts, and the system's own") {
  std::string text;
  for (int size = 0; size < 200; ++size) {
    char expected[SHA256_DIGEST_STRING_LENGTH];
    SHA256Data(reinterpret_cast<const std::uint8_t*>(text.data()), text.size(), expected);
    CHECK(kb::sha256_hex(text, 64) == expected);
    for (std::size_t part : {std::size_t{1}, std::size_t{63}, std::size_t{64}, std::size_t{65}}) {
      kb::Sha256 digest;
      for (std::size_t at = 0; at < text.size(); at += part) digest.add(std::string_view(text).substr(at, part));
      CHECK(kb::hex(digest.take(), 64) == expected);
    }
    text += static_cast<char>('a' + size % 26);
  }
}
