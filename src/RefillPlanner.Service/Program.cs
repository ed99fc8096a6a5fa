using System;
using RefillPlanner.Service.Commands;

return await CommandLine.RunAsync(args, Console.Out, Console.Error, TimeProvider.System);
