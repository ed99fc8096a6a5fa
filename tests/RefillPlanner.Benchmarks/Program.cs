using System;
using System.Diagnostics;
using System.IO;
using RefillPlanner.Benchmarks.Peers;
using RefillPlanner.Benchmarks.Roster;

var clock = Stopwatch.StartNew();
var courses = int.Parse(args[0]);
var rows = RosterFile.Write(args[1], new LargeRoster(courses, 1));
Console.WriteLine($"{rows} rows in {clock.Elapsed}, {new FileInfo(Path.Combine(args[1], RosterFile.Name)).Length >> 20} MiB");
if (courses <= 100000)
    Console.WriteLine(RosterFile.CountBrokenReferences(args[1]));
var stream = RowStream.Build(args[1]);
for (var i = 0; i < 3; i++)
    Console.WriteLine($"{stream.Name} {stream.InRowOrder(args[1])} {stream.InKeyOrder(args[1])}");
Console.WriteLine(RawStream.Run(args[1], PlanningRows.InRowOrder));
