using NodaTime;

namespace KitMesh.Domain.Digest;

/// <summary>What a digest line says: a team's outlook, alerts and footage at one moment, coarse enough to be typed.</summary>
/// <param name="MadeAt">When it was made, by the clock of the hub that made it, to five minutes.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Banks">The banks most likely to run short, at most seven.</param>
/// <param name="MoreBanks">True when the team has banks that found no room.</param>
/// <param name="Danger">Standing alerts that say danger; 15 means as many or more.</param>
/// <param name="Act">Standing alerts that ask somebody to act; 31 means as many or more.</param>
/// <param name="Know">Other standing alerts; 31 means as many or more.</param>
/// <param name="Alerts">The heaviest of them, at most 15.</param>
/// <param name="Footage">The footage; null when the hub could not tell.</param>
/// <param name="Days">The first bank day by day from today, at most 31.</param>
public sealed record DigestContent(
    Instant MadeAt,
    NameTag Team,
    ValueList<DigestBank> Banks,
    bool MoreBanks,
    int Danger,
    int Act,
    int Know,
    ValueList<DigestAlert> Alerts,
    DigestFootage? Footage,
    ValueList<DigestDay> Days)
{
    /// <summary>The most banks in a line.</summary>
    public const int MaxBanks = 7;

    /// <summary>The most alerts in a line.</summary>
    public const int MaxAlerts = 15;

    /// <summary>The most drives in a line.</summary>
    public const int MaxDrives = 7;

    /// <summary>The most days in a line.</summary>
    public const int MaxDays = 31;
}
