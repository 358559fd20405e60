namespace KitMesh.Domain.Reports;

/// <summary>The kinds of report. The numbers are on the wire and are never reused.</summary>
public enum ReportKind
{
    /// <summary>A kind that this version does not know; kept and passed on unread.</summary>
    Unknown = 0,

    /// <summary><see cref="BatteryReading"/>.</summary>
    BatteryReading = 1,

    /// <summary><see cref="TemperatureReading"/>.</summary>
    TemperatureReading = 2,

    /// <summary><see cref="PanelReading"/>.</summary>
    PanelReading = 3,

    /// <summary><see cref="LoadReading"/>.</summary>
    LoadReading = 4,

    /// <summary><see cref="CardSeen"/>.</summary>
    CardSeen = 5,

    /// <summary><see cref="ClipFound"/>.</summary>
    ClipFound = 6,

    /// <summary><see cref="CopyMade"/>.</summary>
    CopyMade = 7,

    /// <summary><see cref="CopyVerified"/>.</summary>
    CopyVerified = 8,

    /// <summary><see cref="CopyFailed"/>.</summary>
    CopyFailed = 9,

    /// <summary><see cref="CardFormatted"/>.</summary>
    CardFormatted = 10,

    /// <summary><see cref="DriveState"/>.</summary>
    DriveState = 11,

    /// <summary><see cref="KitDeclared"/>.</summary>
    KitDeclared = 12,

    /// <summary><see cref="Note"/>.</summary>
    Note = 13,

    /// <summary><see cref="ClockPair"/>.</summary>
    ClockPair = 14,

    /// <summary><see cref="AgentState"/>.</summary>
    AgentState = 15,

    /// <summary><see cref="ReaderFault"/>.</summary>
    ReaderFault = 16,

    /// <summary><see cref="AlertChanged"/>.</summary>
    AlertChanged = 17,

    /// <summary><see cref="KitPlaced"/>.</summary>
    KitPlaced = 18,

    /// <summary><see cref="CardReleased"/>.</summary>
    CardReleased = 19,

    /// <summary><see cref="NodeEnrolled"/>.</summary>
    NodeEnrolled = 20,

    /// <summary><see cref="NodeRevoked"/>.</summary>
    NodeRevoked = 21,

    /// <summary><see cref="DigestHeard"/>.</summary>
    DigestHeard = 22,

    /// <summary><see cref="OriginSealed"/>.</summary>
    OriginSealed = 23,

    /// <summary><see cref="TakenDirectly"/>.</summary>
    TakenDirectly = 24,

    /// <summary><see cref="DayRolledUp"/>.</summary>
    DayRolledUp = 25,
}
