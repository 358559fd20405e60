using System.Collections.Immutable;
using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Enrolment;

/// <summary>A node that is no longer trusted.</summary>
/// <param name="LastValid">By epoch, the last sequence that counts; an epoch that is not here counts for nothing.</param>
/// <param name="Words">Who ended it and why.</param>
internal sealed record RevokedMember(ImmutableDictionary<ulong, ulong> LastValid, string Words)
{
    /// <summary>What several revocations of one node say together: of each origin the least.</summary>
    public static RevokedMember Of(IReadOnlyList<NodeRevoked> revocations)
    {
        Dictionary<ulong, ulong>[] each = [.. revocations.Select(Listed)];
        ImmutableDictionary<ulong, ulong> least = each
            .SelectMany(listed => listed.Keys)
            .Distinct()
            .ToImmutableDictionary(epoch => epoch, epoch => each.Min(listed => listed.GetValueOrDefault(epoch)));
        return new RevokedMember(least, string.Join("; ", revocations.Select(one => $"{one.Author}: {one.Reason}").Distinct().Take(4)));
    }

    private static Dictionary<ulong, ulong> Listed(NodeRevoked one)
    {
        Dictionary<ulong, ulong> listed = [];
        foreach (LastValidReport origin in one.Origins)
        {
            listed[origin.Epoch] = listed.TryGetValue(origin.Epoch, out ulong known) ? Math.Min(known, origin.Sequence) : origin.Sequence;
        }

        return listed;
    }
}
