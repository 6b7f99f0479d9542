// The ends that standard output can come to.
#include "cli/output.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/time.h>

#include <thread>

#include "tests/unit/files_for_tests.h"

TEST_CASE("/dev/stdout adds to what standard output already holds, also through a symlink") {
  const Folder folder;
  fs::create_symlink("/dev/stdout", folder / "link");
  const int out = open((folder / "out").c_str(), O_WRONLY | O_CREAT, 0600);
  with_stdout(out, [&] {
    cli::write_stdout("one ");
    kb::write_file_atomically("/dev/stdout", "two ");
    kb::write_file_atomically(folder / "link", "three ");
    kb::write_file_atomically("/dev/fd/1", "four ");
    cli::write_stdout("five");
  });
  close(out);
  CHECK(read(folder / "out") == "one two three four five");
  CHECK(folder.count() == 2);
}

TEST_CASE("standard output gets every byte through interruptions and a full pipe") {
  struct sigaction interrupt {};
  struct sigaction before {};
  interrupt.sa_handler = [](int) {};  // Without SA_RESTART.
  sigaction(SIGALRM, &interrupt, &before);
  std::string sent;
  for (int i = 0; sent.size() < 1'000'000; ++i) sent += std::to_string(i);
  for (const int flags : {0, O_NONBLOCK}) {
    CAPTURE(flags);
    int ends[2];
    REQUIRE(pipe(ends) == 0);
    fcntl(ends[1], F_SETFL, flags);
    std::string received;
    std::thread reader([&] {
      sigset_t alarms;
      sigemptyset(&alarms);
      sigaddset(&alarms, SIGALRM);
      pthread_sigmask(SIG_BLOCK, &alarms, nullptr);
      usleep(20'000);  // The pipe fills up, and alarms meet a write that has moved nothing.
      char bytes[4096];
      for (ssize_t count = 1; count > 0;) {
        count = read(ends[0], bytes, sizeof bytes);
        if (count > 0) received.append(bytes, static_cast<std::size_t>(count));
      }
    });
    const itimerval often{{0, 1000}, {0, 1000}};
    const itimerval never{};
    bool written = false;
    std::string message;
    setitimer(ITIMER_REAL, &often, nullptr);
    with_stdout(ends[1], [&] { message = refusal([&] { written = cli::write_stdout(sent); }); });
    setitimer(ITIMER_REAL, &never, nullptr);
    close(ends[1]);
    reader.join();
    close(ends[0]);
    CHECK(message.empty());
    CHECK(written);
    CHECK(received == sent);
  }
  sigaction(SIGALRM, &before, nullptr);
}

TEST_CASE("standard output tells a reader who left from a failure") {
  const Ignored broken(SIGPIPE);
  int ends[2];
  REQUIRE(pipe(ends) == 0);
  close(ends[0]);
  bool quiet = true;
  bool empty = false;
  with_stdout(ends[1], [&] {
    quiet = cli::write_stdout("x");
    empty = cli::write_stdout("");
  });
  close(ends[1]);
  CHECK(!quiet);
  CHECK(empty);

  std::string message;
  const auto write_one = [&] { message = refusal([] { cli::write_stdout("x"); }); };
  const int full = open("/dev/full", O_WRONLY);
  with_stdout(full, write_one);
  close(full);
  CHECK(message ==
        "cannot write to standard output: No space left on device; check where the output is sent");
  with_stdout(-1, write_one);
  CHECK(message ==
        "cannot write to standard output: Bad file descriptor; check where the output is sent");
}
