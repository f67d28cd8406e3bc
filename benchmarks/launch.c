/*
 * launch IN OUT COMMAND ARGUMENT... runs a command with files for stdin and stdout and prints wall
 * seconds, processor seconds, largest resident size in bytes, and the exit status. A program of its
 * own, because a process inherits the largest size of the one that started it.
 */
/* fork, wait4 */
#define _DEFAULT_SOURCE
#include "benchmarks/driver.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

static double of(struct timeval t)
{
	return (double)t.tv_sec + 1e-6 * (double)t.tv_usec;
}

static void become(char **arguments)
{
	const int in = open(arguments[0], O_RDONLY);
	const int out = open(arguments[1], O_WRONLY | O_CREAT | O_TRUNC, 0666);

	if (in < 0 || out < 0 || dup2(in, STDIN_FILENO) < 0 || dup2(out, STDOUT_FILENO) < 0)
		_exit(127);
	execvp(arguments[2], arguments + 2);
	_exit(127);
}

int main(int argc, char **argv)
{
	const double start = seconds(CLOCK_MONOTONIC);
	struct rusage used;
	int status;

	if (argc < 4)
		return 2;
	const pid_t child = fork();
	if (child == 0)
		become(argv + 1);
	if (child < 0 || wait4(child, &status, 0, &used) != child)
		return 3;
	printf("%.6f %.6f %ld %d\n", seconds(CLOCK_MONOTONIC) - start,
	       of(used.ru_utime) + of(used.ru_stime), used.ru_maxrss * 1024L,
	       WIFEXITED(status) ? WEXITSTATUS(status) : -1);
	return 0;
}
