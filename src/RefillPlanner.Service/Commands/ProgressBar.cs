using System;
using System.IO;
using Spectre.Console;

namespace RefillPlanner.Service.Commands;

/// <summary>A bar on the terminal while something long is done. Where output is piped or caught there is no terminal, and no bar.</summary>
internal static class ProgressBar
{
    /// <summary>Does something, and shows how far it is.</summary>
    /// <param name="what">The words before the bar.</param>
    /// <param name="whole">How much there is to do; more than 0, or there is no bar.</param>
    /// <param name="output">Where the command writes.</param>
    /// <param name="act">What is done; it tells how much was done, whenever some was.</param>
    public static T Show<T>(string what, long whole, TextWriter output, Func<Action<int>?, T> act)
    {
        if (whole <= 0 || !ReferenceEquals(output, Console.Out) || Console.IsOutputRedirected || Console.IsErrorRedirected)
            return act(null);
        var terminal = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(Console.Error) });
        return terminal.Progress()
            .AutoClear(enabled: true)
            .Columns(new TaskDescriptionColumn(), new ProgressBarColumn(), new PercentageColumn(), new RemainingTimeColumn())
            .Start(context =>
            {
                var task = context.AddTask(Markup.Escape(what), maxValue: whole);
                return act(done => task.Increment(done));
            });
    }
}
