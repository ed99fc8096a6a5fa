using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.Diagnostics;
using System.IO;
using System.Net.Sockets;
using System.Text;
using System.Threading;
using System.Threading.Tasks;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Jobs;

/// <summary>The program itself, as a supervisor sees it: a process, its signals, its exit code and what it says to systemd.</summary>
public sealed class RealServiceTests : IDisposable
{
    // A limit of patience, not a measurement.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(90);

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-process-");

    private string State => Path.Combine(_folder.FullName, "state");

    [Fact]
    public async Task P5_Systemd_hears_that_it_is_ready_that_it_works_and_that_it_stops()
    {
        if (OperatingSystem.IsWindows())
            return; // There is no systemd.
        var path = Path.Combine(_folder.FullName, "notify");
        using var socket = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
        socket.Bind(new UnixDomainSocketEndPoint(path));
        using var service = Start(new Dictionary<string, string> { ["NOTIFY_SOCKET"] = path, ["WATCHDOG_USEC"] = "1200000000" });
        var heard = new List<string>();
        await HearAsync(socket, heard, "READY=1");
        await HearAsync(socket, heard, "WATCHDOG=1");
        Assert.Contains(heard, word => word.StartsWith("STATUS=ok ", StringComparison.Ordinal));
        await TerminateAsync(service);
        await HearAsync(socket, heard, "STOPPING=1");
        await service.WaitForExitAsync(TestContext.Current.CancellationToken).WaitAsync(Patience, TestContext.Current.CancellationToken);
        Assert.Equal(ExitCode.Done, service.ExitCode);
    }

    [Fact]
    public async Task P6_A_second_service_ends_with_75_other_commands_work_and_a_kill_frees_the_folder()
    {
        if (OperatingSystem.IsWindows())
            return; // There is no kill there.
        using var service = Start([]);
        var lines = new ConcurrentQueue<string>();
        await SaidAsync(service, lines, "ready");
        var (code, text) = await RunAsync("run", "--data", State);
        Assert.Equal((ExitCode.AlreadyRunning, $"The service is already running on {State}.\n"), (code, text));
        Assert.Equal(ExitCode.Done, (await RunAsync("due", "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("record", "C-1", "counted", "--data", State)).Code);
        Assert.Equal(ExitCode.Done, (await RunAsync("run", "--go-on", "--data", State)).Code);
        service.Kill();
        await service.WaitForExitAsync(TestContext.Current.CancellationToken).WaitAsync(Patience, TestContext.Current.CancellationToken);
        using var free = RunLock.TryTake(State);
        Assert.NotNull(free);
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private Process Start(Dictionary<string, string> environment)
    {
        var start = new ProcessStartInfo("dotnet", [typeof(ExitCode).Assembly.Location, "run", "--data", State]) { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (var (name, value) in environment)
            start.Environment[name] = value;
        return Process.Start(start)!;
    }

    private static async Task HearAsync(Socket socket, List<string> heard, string word)
    {
        using var patience = new CancellationTokenSource(Patience);
        var buffer = new byte[4096];
        while (!heard.Contains(word))
        {
            var count = await socket.ReceiveAsync(buffer, patience.Token);
            heard.Add(Encoding.UTF8.GetString(buffer, 0, count));
        }
    }

    private static async Task SaidAsync(Process service, ConcurrentQueue<string> lines, string word)
    {
        var said = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        void Read(object sender, DataReceivedEventArgs line)
        {
            lines.Enqueue(line.Data ?? string.Empty);
            if (line.Data?.Contains(word, StringComparison.Ordinal) == true)
                said.TrySetResult();
        }

        service.OutputDataReceived += Read;
        service.ErrorDataReceived += Read;
        service.BeginOutputReadLine();
        service.BeginErrorReadLine();
        await said.Task.WaitAsync(Patience, TestContext.Current.CancellationToken);
    }

    private static async Task<(int Code, string Text)> RunAsync(params string[] args)
    {
        await using var output = new StringWriter();
        var code = await CommandLine.RunAsync(args, output, output, TimeProvider.System);
        return (code, output.ToString());
    }

    private static async Task TerminateAsync(Process service)
    {
        using var kill = Process.Start("kill", ["-TERM", $"{service.Id}"]);
        await kill.WaitForExitAsync(TestContext.Current.CancellationToken);
    }
}
