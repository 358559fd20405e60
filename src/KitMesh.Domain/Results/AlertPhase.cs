namespace KitMesh.Domain.Results;

/// <summary>Where an alert is in its life.</summary>
public enum AlertPhase
{
    /// <summary>It did not stand before and does now.</summary>
    Raised = 0,

    /// <summary>It stood before and still does; its figures may be new.</summary>
    Stands = 1,

    /// <summary>It stood before and no longer does.</summary>
    Cleared = 2,
}
