using System.Collections.Generic;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>What a peer took and what it found.</summary>
/// <param name="Name">What it is, for the table.</param>
/// <param name="Nanoseconds">For all courses.</param>
/// <param name="RunOuts">The run-out of each course, in days from its start, in order.</param>
/// <param name="How">A sentence about how it was measured.</param>
internal sealed record PeerRun(string Name, double Nanoseconds, IReadOnlyList<int> RunOuts, string How);
