namespace KitMesh.Domain.Kit;

/// <summary>What a team does on a day, as far as energy cares.</summary>
public enum DayKind
{
    /// <summary>In camp or filming from it; panels can stand.</summary>
    Camp = 0,

    /// <summary>On the move; panels are packed.</summary>
    Travel = 1,

    /// <summary>A rest day; panels can stand and little is used.</summary>
    Rest = 2,

    /// <summary>Weather-bound; panels stay down.</summary>
    Storm = 3,
}
