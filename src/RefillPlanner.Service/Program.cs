using System;
using RefillPlanner.Service.Commands;

try
{
    return await CommandLine.RunAsync(args, Console.Out, Console.Error, TimeProvider.System);
}
catch (Exception failure) when (failure is not OutOfMemoryException)
{
    await Console.Error.WriteLineAsync($"Internal error: {failure}");
    return ExitCode.Internal;
}
