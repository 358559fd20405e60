using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>A scope as moments, with whose things are whose.</summary>
public sealed class ScopeSpan
{
    private readonly AccountScope _scope;
    private readonly IReadOnlyDictionary<string, KitId> _owners;

    /// <summary>A scope as moments.</summary>
    /// <param name="scope">The scope.</param>
    /// <param name="zone">The crew's civil time.</param>
    /// <param name="newest">The newest report: nothing is known after it.</param>
    /// <param name="owners">Which team a name belongs to.</param>
    public ScopeSpan(AccountScope scope, Offset zone, Instant newest, IReadOnlyDictionary<string, KitId> owners)
    {
        ArgumentNullException.ThrowIfNull(scope);
        _scope = scope;
        _owners = owners;
        Zone = zone;
        Begin = scope.From.AtMidnight().WithOffset(zone).ToInstant();
        Instant end = scope.To.PlusDays(1).AtMidnight().WithOffset(zone).ToInstant();
        End = Instant.Max(Begin, Instant.Min(end, newest));
    }

    internal Offset Zone { get; }

    /// <summary>Begin of the first day.</summary>
    public Instant Begin { get; }

    /// <summary>End of the last day, or the newest report where that is earlier.</summary>
    public Instant End { get; }

    internal LocalDate DayOf(Instant time) => time.WithOffset(Zone).Date;

    internal bool Holds(Instant time) => _scope.Holds(DayOf(time));

    internal bool Holds(LocalDate day) => _scope.Holds(day);

    internal bool IsOurs(KitId? team) => _scope.Team is null || team == _scope.Team;

    /// <summary>Whether the first of some names that has an owner belongs to the team.</summary>
    /// <param name="names">Names, the most telling first.</param>
    public bool IsOurs(params ReadOnlySpan<string?> names)
    {
        if (_scope.Team is not { } team)
        {
            return true;
        }

        foreach (string? name in names)
        {
            if (name is not null && _owners.TryGetValue(name, out KitId owner))
            {
                return owner == team;
            }
        }

        return false;
    }

    /// <summary>The part of a span that lies inside; null when none does.</summary>
    /// <param name="since">Begin.</param>
    /// <param name="until">End; null when it stands.</param>
    public Duration? Inside(Instant since, Instant? until)
    {
        Instant from = Instant.Max(since, Begin);
        Instant to = Instant.Min(until ?? End, End);
        return to >= from && since <= End ? to - from : null;
    }
}
