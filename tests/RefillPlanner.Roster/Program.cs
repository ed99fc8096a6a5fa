using System;
using System.IO;
using System.Linq;
using RefillPlanner.Roster;

if (args.Length == 0 || args.Contains("--help"))
{
    Console.Out.WriteLine(RosterOptions.Usage);
    return args.Length == 0 ? 64 : 0;
}

if (RosterOptions.Parse(args, out var mistake) is not RosterOptions options)
{
    Console.Error.WriteLine(mistake);
    return 64;
}

using (var files = new RosterFiles(options.Out))
{
    Catalogue.AddTo(files, options.Today);
    for (var number = options.First; number < options.First + options.Courses; number++)
        new RandomCourse(files, options, number).Add();
    if (options.Faults > 0)
    {
        var list = Path.Combine(Path.GetDirectoryName(Path.GetFullPath(options.Out)) ?? ".", "faults.csv");
        Faults.AddTo(files, options, list);
        Console.Out.WriteLine($"{options.Faults} faults, listed in {list}");
    }

    Console.Out.WriteLine(files.ToString());
}

return 0;
