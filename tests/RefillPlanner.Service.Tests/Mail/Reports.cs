using System;
using System.Text;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>Mails that come to the mailbox. The delivery reports are the examples of RFC 3464, appendix E, about a message of ours.</summary>
internal static class Reports
{
    public const string Hash = "0123456789abcdef0123456789abcdef";

    private const string Fence = "RAA14128.773615765/CS.UTK.EDU";

    /// <summary>Appendix E.1: a server gives up after five days.</summary>
    public static string Simple(string hash = Hash) => Report("message/rfc822", $"""
        Reporting-MTA: dns; cs.utk.edu

        Original-Recipient: rfc822;louisl@larry.slip.umd.edu
        Final-Recipient: rfc822;louisl@larry.slip.umd.edu
        Action: failed
        Status: 4.0.0
        Diagnostic-Code: smtp; 426 connection timed out
        Last-Attempt-Date: Thu, 7 Jul 1994 17:15:49 -0400

        """, Original(hash));

    /// <summary>Appendix E.2: three recipients, one of them delayed; only the headers of the message come back.</summary>
    public static string Several(string hash = Hash) => Report("text/rfc822-headers", $"""
        Reporting-MTA: dns; cs.utk.edu

        Original-Recipient: rfc822;johnh@hpnjld.njd.hp.com
        Final-Recipient: rfc822;johnh@hpnjld.njd.hp.com
        Action: delayed
        Status: 4.0.0 (hpnjld.njd.jp.com: host name lookup failure)

        Original-Recipient: rfc822;arathib@vnet.ibm.com
        Final-Recipient: rfc822;arathib@vnet.ibm.com
        Action: failed (permanent failure)
        Status: 5.0.0 (permanent failure)
        Diagnostic-Code: smtp;
         550 'arathib@vnet.IBM.COM' is not a registered gateway user
        Remote-MTA: dns; vnet.ibm.com

        """, $"Message-ID: <{hash}@example.org>\nSubject: A note\n");

    /// <summary>Appendix E.3: a gateway to another kind of mail, which sends nothing of the message back.</summary>
    public static string Gateway(string? envelopeId) => Report(null, $"""
        {(envelopeId is null ? string.Empty : $"Original-Envelope-Id: {envelopeId}\n")}Reporting-MTA: mailbus; SYS30

        Final-Recipient: unknown; nair_s
        Status: 5.0.0 (unknown permanent failure)
        Action: failed

        """, string.Empty);

    /// <summary>A report about one recipient.</summary>
    public static string About(string action, string status = "Status: 5.1.1\n", string diagnosis = "", string hash = Hash, string original = "message/rfc822") => Report(original, $"""
        Reporting-MTA: dns; mail.example.org

        Final-Recipient: rfc822; marl@example.net
        Action: {action}
        {status}{diagnosis}
        """, Original(hash));

    /// <summary>A mail by a person, or by a program that <paramref name="headers"/> give away.</summary>
    public static string Mail(string subject, string from = "Marl Quillfeather <marl@example.net>", string headers = "") => $"""
        Return-Path: <marl@example.net>
        From: {from}
        To: Lantern Hollow Pharmacy (invented) <staff@example.org>
        Subject: {subject}
        Message-ID: <1@example.net>
        {headers}MIME-Version: 1.0
        Content-Type: text/plain; charset=utf-8

        Please send me no more of these. STOP.

        """;

    public static byte[] Bytes(string text) => Encoding.UTF8.GetBytes(text.ReplaceLineEndings("\r\n"));

    private static string Original(string hash) => $"""
        From: no-reply@example.org
        To: marl@example.net
        Message-ID: <{hash}@example.org>
        Subject: A note from Lantern Hollow Pharmacy (invented)
        List-Unsubscribe: <mailto:staff@example.org?subject=STOP%20{hash}>

        It is time to arrange your next supply.

        """;

    private static string Report(string? originalType, string status, string original) => $"""
        Return-Path: <>
        Date: Thu, 7 Jul 1994 17:16:05 -0400
        From: Mail Delivery Subsystem <MAILER-DAEMON@CS.UTK.EDU>
        Message-Id: <199407072116.RAA14128@CS.UTK.EDU>
        Subject: Returned mail: Cannot send message for 5 days
        To: <no-reply@example.org>
        MIME-Version: 1.0
        Content-Type: multipart/report; report-type=delivery-status;
              boundary="{Fence}"

        --{Fence}

        The original message was received at Sat, 2 Jul 1994 17:10:28 -0400
        from root@localhost

           ----- The following addresses had delivery problems -----
        <louisl@larry.slip.umd.edu>  (unrecoverable error)

        --{Fence}
        content-type: message/delivery-status

        {status}
        --{Fence}
        {(originalType is null ? string.Empty : $"content-type: {originalType}\n\n{original}\n--{Fence}")}--

        """;
}
