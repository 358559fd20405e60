namespace KitMesh.Domain.Reports;

/// <summary>What a drive says of its own health.</summary>
public enum DriveHealth
{
    /// <summary>It does not say, or its bridge hides it. Never shown as healthy.</summary>
    Unknown = 0,

    /// <summary>Its self-assessment passed.</summary>
    Passed = 1,

    /// <summary>An attribute warns.</summary>
    Warning = 2,

    /// <summary>It says that it is failing.</summary>
    Failing = 3,
}
