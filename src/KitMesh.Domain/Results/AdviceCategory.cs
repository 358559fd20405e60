namespace KitMesh.Domain.Results;

/// <summary>What an advice is about.</summary>
public enum AdviceCategory
{
    /// <summary>People or gear may come to harm: before all else.</summary>
    Safety = 0,

    /// <summary>Footage on cards and drives.</summary>
    Footage = 1,

    /// <summary>What gets which outlet.</summary>
    Charging = 2,

    /// <summary>Panels, heater, rationing.</summary>
    Energy = 3,

    /// <summary>Agents, clocks and links.</summary>
    Mesh = 4,
}
