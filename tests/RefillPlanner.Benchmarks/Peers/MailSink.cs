using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using System.Net;
using System.Net.Sockets;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>Postfix's <c>smtp-sink</c>, which takes every message and keeps none, and its <c>smtp-source</c>, which sends messages of one size.</summary>
internal sealed class MailSink : IDisposable
{
    private const string Sink = "/usr/sbin/smtp-sink";
    private const string Source = "/usr/sbin/smtp-source";
    private readonly Process _process;

    private MailSink()
    {
        Port = FreePort();
        _process = Process.Start(new ProcessStartInfo(Sink, ["-u", Environment.UserName, Address, "1000"]) { UseShellExecute = false, RedirectStandardError = true })!;
        while (!IsListening())
        {
            if (_process.HasExited)
                throw new InvalidOperationException($"smtp-sink ended: {_process.StandardError.ReadToEnd()}");
        }
    }

    /// <summary>Its port on loopback.</summary>
    public int Port { get; }

    private string Address => string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{Port}");

    /// <summary>Starts one; null: Postfix is not installed.</summary>
    public static MailSink? Find() => File.Exists(Sink) && File.Exists(Source) ? new MailSink() : null;

    /// <summary>Nanoseconds that <c>smtp-source</c> takes for messages over one connection, one after the other.</summary>
    /// <param name="messages">How many.</param>
    /// <param name="bytes">Length of each message.</param>
    /// <param name="isKept">Whether the connection is kept from one message to the next.</param>
    public double SourceTime(int messages, int bytes, bool isKept)
    {
        List<string> arguments = ["-s", "1", "-m", Text(messages), "-l", Text(bytes), "-f", "planner@example.org", "-t", "patient@example.net", Address];
        if (isKept)
            arguments.Insert(0, "-d");
        var began = Stopwatch.GetTimestamp();
        Measuring.ChildProgram.Run(Source, arguments);
        return Stopwatch.GetElapsedTime(began).TotalNanoseconds;
    }

    public void Dispose()
    {
        _process.Kill();
        _process.WaitForExit();
        _process.Dispose();
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    private bool IsListening()
    {
        try
        {
            using var client = new TcpClient();
            client.Connect(IPAddress.Loopback, Port);
            return true;
        }
        catch (SocketException)
        {
            return false;
        }
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
